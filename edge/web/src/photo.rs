//! Photos: one that is taken comes in as its bytes, made small by the page's script; one that is
//! there goes out as it was kept.

use app::bay::{Bay, Happened};
use axum::{
    body::Bytes,
    extract::{Path, Query, State},
    http::{StatusCode, header},
    response::{IntoResponse, Redirect, Response},
};
use pages::PhotoFormat;

use crate::{Shop, reference, route, tap::field, view};

/// A photo of an item was taken; the query says of which, and the reference of the tap.
pub(crate) async fn take(
    State(shop): State<Shop>,
    Path(job): Path<String>,
    Query(fields): Query<Vec<(String, String)>>,
    bytes: Bytes,
) -> Response {
    let back = format!("{}/tray", view::car_path(&job));
    let work = move |_: &Shop, bay: &mut Bay| {
        let tap = reference::of_entry(&field(&fields, "ref"), 0)?;
        let of = Some(format!("item:{}", field(&fields, "item")));
        let (bytes, caption) = (bytes.to_vec(), String::new());
        bay.did(&job, &[Happened::Photo { bytes, of, caption }], Some(&tap)).map(|_| ())
    };
    match shop.at_bench(work).await {
        Ok(()) => Redirect::to(&back).into_response(),
        Err(problem) => route::trouble(&problem, Some(&back)),
    }
}

/// The bytes of a photo.
pub(crate) async fn shown(
    State(shop): State<Shop>,
    Path((job, event)): Path<(String, String)>,
) -> Response {
    let found = match shop.read(move |_, bay| bay.photo_of(&job, &event)).await {
        Ok(found) => found,
        Err(problem) => return route::trouble(&problem, None),
    };
    let kind = found.as_ref().and_then(pages::Photo::format).map(|format| match format {
        PhotoFormat::Jpeg => "image/jpeg",
        PhotoFormat::Png => "image/png",
    });
    match found.zip(kind) {
        Some((photo, kind)) => {
            let headers = [
                (header::CONTENT_TYPE, kind),
                (header::CACHE_CONTROL, "private, max-age=86400"),
            ];
            (headers, photo.bytes).into_response()
        }
        None => route::html(StatusCode::NOT_FOUND, view::nothing_here()),
    }
}
