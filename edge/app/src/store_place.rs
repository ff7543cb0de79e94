//! Where the job log lies unless it is named.

use std::ffi::OsString;
use std::path::PathBuf;

use crate::Problem;

/// The store named, or the usual folder: `$XDG_DATA_HOME/witmark`, else
/// `~/.local/share/witmark` (XDG Base Directory Specification: a relative path is ignored).
///
/// # Errors
/// Nothing is named and there is no home folder.
pub fn store_place(
    named: Option<PathBuf>,
    data_home: Option<OsString>,
    home: Option<OsString>,
) -> Result<PathBuf, Problem> {
    let absolute =
        |text: OsString| Some(PathBuf::from(text)).filter(|path| path.is_absolute());
    named
        .or_else(|| data_home.and_then(absolute).map(|path| path.join("witmark")))
        .or_else(|| home.and_then(absolute).map(|path| path.join(".local/share/witmark")))
        .ok_or_else(|| {
            Problem::could_not("no-store", "there is no home folder to keep jobs in")
                .hint("name a folder with --store")
        })
}

#[cfg(test)]
mod tests {
    use super::store_place;
    use std::path::PathBuf;

    #[test]
    fn the_named_store_wins_then_the_data_folder_then_home() {
        let place = |named: Option<&str>, data: Option<&str>, home: Option<&str>| {
            store_place(
                named.map(PathBuf::from),
                data.map(Into::into),
                home.map(Into::into),
            )
        };
        assert_eq!(place(Some("a"), Some("/d"), Some("/h")).unwrap(), PathBuf::from("a"));
        assert_eq!(
            place(None, Some("/d"), Some("/h")).unwrap(),
            PathBuf::from("/d/witmark")
        );
        let home = PathBuf::from("/h/.local/share/witmark");
        assert_eq!(place(None, Some("relative"), Some("/h")).unwrap(), home);
        assert!(place(None, None, None).is_err());
    }
}
