//! What pages load: one sheet of style, one script, one drawing.

use axum::{
    extract::Path,
    http::{StatusCode, header},
    response::{IntoResponse, Response},
};

use crate::{route, view};

/// The files by name: type and contents.
const FILES: [(&str, &str, &str); 4] = [
    ("app.css", "text/css; charset=utf-8", include_str!("../assets/app.css")),
    ("app.js", "text/javascript; charset=utf-8", include_str!("../assets/app.js")),
    ("marked.svg", "image/svg+xml", include_str!("../assets/marked.svg")),
    ("bare.svg", "image/svg+xml", include_str!("../assets/bare.svg")),
];

/// One of the files.
pub(crate) async fn asset(Path(name): Path<String>) -> Response {
    match FILES.iter().find(|(known, ..)| *known == name) {
        Some((_, kind, text)) => {
            ([(header::CONTENT_TYPE, *kind), (header::CACHE_CONTROL, "no-cache")], *text)
                .into_response()
        }
        None => route::html(StatusCode::NOT_FOUND, view::nothing_here()),
    }
}
