//! A bay for tests: a store on disk, the routes over it, and taps as a browser sends them.

use std::path::{Path, PathBuf};

use app::bay::{Bay, NewJob, Owner, ShowAnswer, Thinking};
use axum::{
    Router,
    body::{Body, to_bytes},
    http::{HeaderMap, Request, StatusCode, header},
};
use tower::ServiceExt;
use web::{Shop, router};

/// The port that the tests speak of.
pub(crate) const PORT: u16 = 4180;
/// The host of own pages.
pub(crate) const HOST: &str = "127.0.0.1:4180";
/// A reference for forms that are made by hand.
pub(crate) const REF: &str = "00112233445566778899aabbccddeeff";

/// The reference of the van's own form.
const NEW: &str = "ffeeddccbbaa99887766554433221100";

/// The routes over a store of their own.
pub(crate) struct Bench {
    pub(crate) folder: tempfile::TempDir,
    router: Router,
}

/// What came back.
pub(crate) struct Got {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) text: String,
}

impl Got {
    /// Where it leads.
    pub(crate) fn leads_to(&self) -> &str {
        self.headers.get(header::LOCATION).map_or("", |to| to.to_str().unwrap())
    }
}

fn open(path: &Path) -> Bay {
    let thinking = Thinking { budget_ms: 400, gap: 0.05, nodes: 3000 };
    Bay::open(path, "Jorun").unwrap().thinking(thinking)
}

impl Bench {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("jobs.sqlite");
        let shop = Shop::new(PORT, move || Ok(open(&path)));
        Self { folder, router: router(shop) }
    }

    pub(crate) fn path(&self) -> PathBuf {
        self.folder.path().join("jobs.sqlite")
    }

    /// The same store, opened beside the routes.
    pub(crate) fn bay(&self) -> Bay {
        open(&self.path())
    }

    pub(crate) fn show(&self, job: &str) -> ShowAnswer {
        self.bay().show(job).unwrap()
    }

    /// The title of the step that the log says was advised last.
    pub(crate) fn advised(&self, job: &str) -> String {
        let events = self.show(job).events;
        let last = events.iter().find(|event| event.kind == "advised").unwrap();
        last.what.strip_prefix("Advised: ").unwrap().to_owned()
    }

    /// Events of that kind which count.
    pub(crate) fn counted(&self, job: &str, kind: &str) -> usize {
        let shown = self.show(job);
        shown.events.iter().filter(|e| e.kind == kind && e.fate == "counts").count()
    }

    pub(crate) async fn send(&self, request: Request<Body>) -> Got {
        let response = self.router.clone().oneshot(request).await.unwrap();
        let (status, headers) = (response.status(), response.headers().clone());
        let bytes = to_bytes(response.into_body(), 4 << 20).await.unwrap();
        Got { status, headers, text: String::from_utf8(bytes.to_vec()).unwrap() }
    }

    pub(crate) async fn get(&self, path: &str) -> Got {
        let request = Request::get(path).header(header::HOST, HOST);
        self.send(request.body(Body::empty()).unwrap()).await
    }

    /// A form as an own page sends it.
    pub(crate) async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Got {
        let request = form(path, fields).header(header::ORIGIN, format!("http://{HOST}"));
        self.send(request.body(Body::from(encoded(fields))).unwrap()).await
    }

    /// Taps the button of that value on a page: the form that holds it is sent with it.
    pub(crate) async fn tap(&self, page: &str, value: &str) -> Got {
        self.tap_and_say(page, value, "").await
    }

    /// The same, with something typed beside it.
    pub(crate) async fn tap_and_say(&self, page: &str, value: &str, say: &str) -> Got {
        let (path, name, hidden) = button(page, value);
        let mut fields: Vec<(&str, &str)> =
            hidden.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        fields.push(("say", say));
        fields.push((&name, value));
        self.post(&path, &fields).await
    }

    /// The van of the demo, with the sheet of the library.
    pub(crate) async fn van(&self) -> String {
        self.van_with("400").await
    }

    pub(crate) async fn van_with(&self, sum: &str) -> String {
        let got = self
            .post(
                "/new",
                &[
                    ("ref", NEW),
                    ("sheet", "boost-vane-diesel P0299"),
                    ("plate", "QX 4417 Z"),
                    ("complaint", "Weak uphill with a load"),
                    ("sum", sum),
                    ("owner", "Mara Quillfeder"),
                    ("phone", "000 555-0142"),
                ],
            )
            .await;
        assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
        got.leads_to().strip_prefix("/car/").unwrap().to_owned()
    }

    /// A job on a sheet of the test's own.
    pub(crate) fn job(&self, sheet: &str) -> String {
        let new = NewJob {
            sheet: Some(sheet.to_owned()),
            plate: "QX 4417 Z".to_owned(),
            owner: Owner { name: "Mara Quillfeder".to_owned(), phone: String::new() },
            authorised: Some(400.0),
            ..NewJob::default()
        };
        self.bay().new_job(&new).unwrap().job
    }
}

/// A form request without anything that says where it comes from.
pub(crate) fn form(path: &str, fields: &[(&str, &str)]) -> axum::http::request::Builder {
    Request::post(path)
        .header(header::HOST, HOST)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .header(header::CONTENT_LENGTH, encoded(fields).len())
}

/// The fields as a form sends them.
pub(crate) fn encoded(fields: &[(&str, &str)]) -> String {
    let byte = |byte: u8| {
        if byte.is_ascii_alphanumeric() {
            char::from(byte).to_string()
        } else {
            format!("%{byte:02X}")
        }
    };
    let text = |text: &str| text.bytes().map(byte).collect::<String>();
    let pairs =
        fields.iter().map(|(name, value)| format!("{}={}", text(name), text(value)));
    pairs.collect::<Vec<_>>().join("&")
}

/// The forms of a page.
pub(crate) fn forms(page: &str) -> Vec<&str> {
    page.split("<form")
        .skip(1)
        .map(|rest| rest.split("</form>").next().unwrap())
        .collect()
}

/// An attribute of the first tag in a piece of a page.
pub(crate) fn attribute<'a>(piece: &'a str, name: &str) -> Option<&'a str> {
    let tag = piece.split('>').next().unwrap();
    tag.split(&format!(" {name}=\"")).nth(1)?.split('"').next()
}

/// Where the form of that button goes, the button's name, and the hidden fields with it.
pub(crate) fn button(page: &str, value: &str) -> (String, String, Vec<(String, String)>) {
    for form in forms(page) {
        let mut buttons = form.split("<button").skip(1);
        let Some(button) = buttons.find(|b| attribute(b, "value") == Some(value)) else {
            continue;
        };
        let inputs = form.split("<input").skip(1);
        let hidden = inputs.filter(|input| attribute(input, "type") == Some("hidden"));
        let field = |input: &str, name: &str| attribute(input, name).unwrap().to_owned();
        return (
            attribute(form, "action").unwrap().to_owned(),
            attribute(button, "name").unwrap().to_owned(),
            hidden.map(|input| (field(input, "name"), field(input, "value"))).collect(),
        );
    }
    panic!("no button `{value}` on this page:\n{page}");
}

/// The step that a page shows: its title, and what each of its outcomes sends.
pub(crate) fn step_on(page: &str) -> (String, Vec<String>) {
    let title = page.split("<h2 class=\"title\">").nth(1).unwrap();
    let title = title.split("</h2>").next().unwrap().to_owned();
    let outcomes = page.split("<div class=\"outcomes\"").nth(1).unwrap_or_default();
    let outcomes = outcomes.split("</div>").next().unwrap();
    let value = |button: &str| attribute(button, "value").unwrap().to_owned();
    (title, outcomes.split("<button").skip(1).map(value).collect())
}

/// The words of a page, without tags.
pub(crate) fn words(page: &str) -> String {
    let pieces =
        page.split('<').map(|piece| piece.split_once('>').map_or(piece, |(_, t)| t));
    pieces.collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}
