//! What is looked at: every page, rendered from answers; nothing here writes.

use app::{
    Exit, Problem,
    bay::{Bay, ShowAnswer, Shown},
    sheet_file,
};
use axum::{
    extract::{Path, State},
    http::StatusCode,
    response::{Html, IntoResponse, Redirect, Response},
};
use maud::Markup;

use crate::{Shop, shop::LANGUAGE, view};

/// Cars on hand.
pub(crate) async fn cars(State(shop): State<Shop>) -> Response {
    page(shop.read(|_, bay| Ok(view::cars(&bay.jobs(Shown::OnHand)?))).await, None)
}

/// The form for a new car.
pub(crate) async fn new() -> Response {
    html(StatusCode::OK, view::new_car(&sheet_file::list(LANGUAGE).sheets))
}

/// One car.
pub(crate) async fn car(State(shop): State<Shop>, Path(job): Path<String>) -> Response {
    let look = move |shop: &Shop, bay: &Bay| {
        let shown = bay.show(&job)?;
        Ok(view::car(&shown, shop.kept(&shown).as_ref(), &bay.others(&job)?))
    };
    page(shop.read(look).await, None)
}

/// A tap's own address asked for as a page, as a phone does that has put the page to sleep:
/// the car.
pub(crate) async fn back(Path(job): Path<String>) -> Redirect {
    Redirect::to(&view::car_path(&job))
}

/// Everything else that can be done with it.
pub(crate) async fn others(
    State(shop): State<Shop>,
    Path(job): Path<String>,
) -> Response {
    let look =
        move |_: &Shop, bay: &Bay| Ok(view::others(&bay.show(&job)?, &bay.others(&job)?));
    page(shop.read(look).await, None)
}

/// What is off and what lies where.
pub(crate) async fn tray(State(shop): State<Shop>, Path(job): Path<String>) -> Response {
    let look = move |_: &Shop, bay: &Bay| {
        Ok(view::tray_page(&bay.show(&job)?, &bay.tray(&job)?))
    };
    page(shop.read(look).await, None)
}

/// How likely each cause is.
pub(crate) async fn odds(State(shop): State<Shop>, Path(job): Path<String>) -> Response {
    of_car(&shop, job, view::odds).await
}

/// What the owner can choose from. They are planned where they are not known, and nothing
/// is written.
pub(crate) async fn options(
    State(shop): State<Shop>,
    Path(job): Path<String>,
) -> Response {
    let back = view::car_path(&job);
    let work = move |shop: &Shop, bay: &mut Bay| {
        let options = shop.options(bay, &job)?;
        Ok(view::options(&bay.show(&job)?, &options))
    };
    page(shop.at_bench(work).await, Some(&back))
}

/// What still blocks the hand-over.
pub(crate) async fn hand_over(
    State(shop): State<Shop>,
    Path(job): Path<String>,
) -> Response {
    of_car(&shop, job, view::hand_over).await
}

/// No such page.
pub(crate) async fn nothing_here() -> Response {
    html(StatusCode::NOT_FOUND, view::nothing_here())
}

async fn of_car(
    shop: &Shop,
    job: String,
    draw: impl FnOnce(&ShowAnswer) -> Markup + Send + 'static,
) -> Response {
    page(shop.read(move |_, bay| Ok(draw(&bay.show(&job)?))).await, None)
}

/// A page with its status.
pub(crate) fn html(status: StatusCode, page: Markup) -> Response {
    (status, Html(page.into_string())).into_response()
}

/// The page, or what went wrong with a way back.
pub(crate) fn page(drawn: Result<Markup, Problem>, back: Option<&str>) -> Response {
    match drawn {
        Ok(drawn) => html(StatusCode::OK, drawn),
        Err(problem) => trouble(&problem, back),
    }
}

/// What went wrong, as a page with its status.
pub(crate) fn trouble(problem: &Problem, back: Option<&str>) -> Response {
    let status = match (problem.kind.as_str(), problem.exit) {
        ("no-job", _) => StatusCode::NOT_FOUND,
        ("conflict", _) => StatusCode::CONFLICT,
        ("busy", _) => StatusCode::SERVICE_UNAVAILABLE,
        (_, Exit::CouldNot) => StatusCode::INTERNAL_SERVER_ERROR,
        (_, Exit::Answered | Exit::Wrong | Exit::Usage) => {
            StatusCode::UNPROCESSABLE_ENTITY
        }
    };
    html(status, view::trouble(problem, back))
}
