//! The door: which requests come in at all, and the headers that every answer carries.
//!
//! A page of a foreign site can send requests to this machine: by a name that it points here
//! (refused by `Host`), or by a form (refused by `Origin`, `Sec-Fetch-Site`, `Referer`).

use axum::{
    extract::{Request, State},
    http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header},
    middleware::Next,
    response::Response,
};

use crate::{Shop, route, view};

/// Nothing but what this server itself serves, and nothing inline.
const POLICY: &str = "default-src 'self'; base-uri 'none'; form-action 'self'; \
     frame-ancestors 'none'; object-src 'none'";

/// Lets a request in or refuses it, and hardens the answer.
pub(crate) async fn guard(
    State(shop): State<Shop>,
    request: Request,
    next: Next,
) -> Response {
    let mut response = match refused(&request, shop.port()) {
        Some((status, why)) => route::html(status, view::refused(why)),
        None => next.run(request).await,
    };
    harden(response.headers_mut());
    response
}

fn refused(request: &Request, port: u16) -> Option<(StatusCode, &'static str)> {
    let headers = request.headers();
    let host = match one(headers, &header::HOST) {
        Field::Once(host) if is_own(host, port) => host,
        Field::Absent | Field::Once(_) | Field::Unclear => {
            return Some((
                StatusCode::MISDIRECTED_REQUEST,
                "This machine is not called that.",
            ));
        }
    };
    if request.uri().authority().is_some_and(|named| !is_own(named.as_str(), port)) {
        return Some((
            StatusCode::MISDIRECTED_REQUEST,
            "This machine is not called that.",
        ));
    }
    let reads = matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS);
    let foreign = !reads && is_foreign(headers, host);
    foreign.then_some((
        StatusCode::FORBIDDEN,
        "Nothing was recorded: the tap came from a page of another site.",
    ))
}

/// A header that should be there at most once.
enum Field<'a> {
    Absent,
    Once(&'a str),
    /// More than once, or not text.
    Unclear,
}

fn one<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Field<'a> {
    let mut values = headers.get_all(name).iter();
    match (values.next(), values.next()) {
        (None, _) => Field::Absent,
        (Some(value), None) => value.to_str().map_or(Field::Unclear, Field::Once),
        (Some(_), Some(_)) => Field::Unclear,
    }
}

/// Whether a host is this machine at that port, by one of its loopback names.
fn is_own(host: &str, port: u16) -> bool {
    let host = host.to_ascii_lowercase();
    ["127.0.0.1", "localhost", "[::1]"]
        .iter()
        .any(|name| host == format!("{name}:{port}") || (port == 80 && host == *name))
}

/// Whether a write comes from somewhere else than a page of this server. Browsers send
/// `Origin` with every form; what sends none of the three is no browser.
fn is_foreign(headers: &HeaderMap, host: &str) -> bool {
    let own = format!("http://{host}");
    let origin_fits = match one(headers, &header::ORIGIN) {
        Field::Absent => true,
        Field::Once(origin) => origin.eq_ignore_ascii_case(&own),
        Field::Unclear => false,
    };
    let site_fits = match one(headers, &HeaderName::from_static("sec-fetch-site")) {
        Field::Absent => true,
        Field::Once(site) => matches!(site, "same-origin" | "none"),
        Field::Unclear => false,
    };
    let referer_fits = match one(headers, &header::REFERER) {
        Field::Absent => true,
        Field::Once(from) => from == own || from.starts_with(&format!("{own}/")),
        Field::Unclear => false,
    };
    !(origin_fits && site_fits && referer_fits)
}

fn harden(headers: &mut HeaderMap) {
    let fixed = [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // `no-referrer` would make the `Origin` of own forms read `null`.
        (header::REFERRER_POLICY, "same-origin"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // A page that is gone back to is asked for again: its forms carry fresh references.
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
}

#[cfg(test)]
mod tests {
    use super::is_own;

    #[test]
    fn only_loopback_names_with_the_port_are_own() {
        for own in ["127.0.0.1:4180", "LOCALHOST:4180", "[::1]:4180"] {
            assert!(is_own(own, 4180), "{own}");
        }
        for foreign in [
            "127.0.0.1",
            "127.0.0.1:80",
            "evil.example:4180",
            "localhost.evil.example:4180",
            "",
        ] {
            assert!(!is_own(foreign, 4180), "{foreign}");
        }
        assert!(is_own("localhost", 80));
    }
}
