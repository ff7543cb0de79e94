//! Text on a page: cleaned, then escaped; and moments and paths as they are written.

use maud::{Escaper, Render};
use pages::Words;
use std::fmt::Write;

/// Text from anywhere, fit for a page: control and direction-changing characters dropped,
/// the rest escaped.
pub(super) struct Said<T: AsRef<str>>(pub(super) T);

impl<T: AsRef<str>> Render for Said<T> {
    fn render_to(&self, buffer: &mut String) {
        let cleaned = Words::new(self.0.as_ref());
        // Writing to a string can't fail.
        let _ = Escaper::new(buffer).write_str(cleaned.as_str());
    }
}

/// Words of the program, whose answers set ids between backticks for the terminal.
pub(super) struct Told<T: AsRef<str>>(pub(super) T);

impl<T: AsRef<str>> Render for Told<T> {
    fn render_to(&self, buffer: &mut String) {
        Said(self.0.as_ref().replace('`', "")).render_to(buffer);
    }
}

/// The path of a car's page; whatever is no letter or digit of an id is percent-encoded
/// (RFC 3986, 2.1).
pub(crate) fn car_path(job: &str) -> String {
    job.bytes().fold("/car/".to_owned(), |mut path, byte| {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'~') {
            path.push(char::from(byte));
        } else {
            let _ = write!(path, "%{byte:02X}");
        }
        path
    })
}

/// Day and minute of an RFC 3339 moment, short enough for a line: `9 Mar 08:05`.
pub(super) fn when(at: &str) -> String {
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "June", "July", "Aug", "Sept", "Oct", "Nov",
        "Dec",
    ];
    let place = at.get(5..7).and_then(|month| month.parse::<usize>().ok());
    let month = place.and_then(|month| MONTHS.get(month.checked_sub(1)?));
    match (at.get(8..10), month, at.get(11..16)) {
        (Some(day), Some(month), Some(time)) => {
            format!("{} {month} {time}", day.trim_start_matches('0'))
        }
        _ => at.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::{Said, Told, car_path, when};
    use maud::Render;

    #[test]
    fn text_is_cleaned_and_escaped() {
        let said = Said("a\u{202e}<b \"c\">&\u{1b}[1m").render();
        assert_eq!(said.0, "a&lt;b &quot;c&quot;&gt;&amp;[1m");
        assert_eq!(Told("`<oil>` is open").render().0, "&lt;oil&gt; is open");
    }

    #[test]
    fn a_path_never_leaves_the_cars() {
        assert_eq!(car_path("k7mqp"), "/car/k7mqp");
        assert_eq!(car_path("../new?x=\"#é"), "/car/%2E%2E%2Fnew%3Fx%3D%22%23%C3%A9");
    }

    #[test]
    fn moments_are_said() {
        assert_eq!(when("2026-03-09T08:05:00+01:00"), "9 Mar 08:05");
        assert_eq!(when("2026-13-09T08:05:00Z"), "2026-13-09T08:05:00Z");
        assert_eq!(when("soon"), "soon");
    }
}
