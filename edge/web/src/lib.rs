//! Screens for the phone in the bay: plain pages on the verbs of `app`, loopback only.
//!
//! A page is rendered from answers and never writes; a tap is a form that posts what
//! happened, is recorded once by its reference, and leads back to the page. Without scripts
//! all of it but photos works; the one script that ships spares the reload and makes photos small.

mod assets;
mod door;
mod number;
mod photo;
mod reference;
mod route;
mod shop;
mod tap;
mod view;

use std::net::{IpAddr, Ipv4Addr, SocketAddr};

use app::{Problem, bay::Bay};
use axum::{Router, extract::DefaultBodyLimit, middleware, routing};
use tokio::net::TcpListener;
use tower_http::limit::RequestBodyLimitLayer;

pub use shop::Shop;

/// Most bytes that a form may have.
const MOST_BYTES: usize = 64 * 1024;

/// Most bytes that a photo may have; the page makes it far smaller.
const MOST_OF_A_PHOTO: usize = 16 << 20;

/// All routes, guarded.
pub fn router(shop: Shop) -> Router {
    Router::new()
        .route("/", routing::get(route::cars))
        .route("/new", routing::get(route::new).post(tap::new))
        .route("/car/{job}", routing::get(route::car))
        .route("/car/{job}/else", routing::get(route::others))
        .route("/car/{job}/tray", routing::get(route::tray))
        .route("/car/{job}/odds", routing::get(route::odds))
        .route("/car/{job}/options", routing::get(route::options))
        .route(
            "/car/{job}/hand-over",
            routing::get(route::hand_over).post(tap::hand_over),
        )
        .route("/car/{job}/pass-on", routing::post(tap::pass_on).get(route::back))
        .route("/car/{job}/did", routing::post(tap::did).get(route::back))
        .route("/car/{job}/undo", routing::post(tap::undo).get(route::back))
        .route("/car/{job}/next", routing::post(tap::next).get(route::back))
        .route("/assets/{name}", routing::get(assets::asset))
        .fallback(route::nothing_here)
        .layer(RequestBodyLimitLayer::new(MOST_BYTES))
        .merge(photos())
        .layer(middleware::from_fn_with_state(shop.clone(), door::guard))
        .with_state(shop)
}

/// What takes more bytes than a form does.
fn photos() -> Router<Shop> {
    Router::new()
        .route("/car/{job}/photo", routing::post(photo::take))
        .route("/car/{job}/photo/{event}", routing::get(photo::shown))
        .layer(DefaultBodyLimit::disable())
        .layer(RequestBodyLimitLayer::new(MOST_OF_A_PHOTO))
}

/// Listens on that address, a loopback address only; port 0 takes a free one.
///
/// # Errors
/// An address that other machines can reach, or a port that is taken.
pub async fn listen(address: SocketAddr) -> Result<TcpListener, Problem> {
    if !address.ip().is_loopback() {
        let what = format!("{} can be reached from other machines", address.ip());
        return Err(Problem::wrong("not-loopback", what)
            .hint("pages are served to this machine alone: 127.0.0.1"));
    }
    TcpListener::bind(address).await.map_err(|error| {
        Problem::could_not("port", format!("{address} can't be listened on: {error}"))
            .hint("is it running already? Name another port")
    })
}

/// Serves the pages on 127.0.0.1 until `stop` is ready. `open` opens the store, once for each
/// request; `started` hears the address once it can be reached.
///
/// # Errors
/// A port that is taken, or a listener that fails.
pub async fn serve(
    port: u16,
    open: impl Fn() -> Result<Bay, Problem> + Send + Sync + 'static,
    started: impl FnOnce(SocketAddr) + Send,
    stop: impl Future<Output = ()> + Send + 'static,
) -> Result<(), Problem> {
    let listener = listen(SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), port)).await?;
    let failed = |error: std::io::Error| Problem::could_not("serve", error);
    let address = listener.local_addr().map_err(failed)?;
    let shop = Shop::new(address.port(), open);
    // The advice of every car on hand is ready before the first page asks for it.
    let (warm, inside) = (shop.clone(), shop.clone());
    tokio::spawn(async move { warm.think_ahead().await });
    started(address);
    let served = axum::serve(listener, router(shop)).with_graceful_shutdown(stop).await;
    inside.close();
    served.map_err(failed)
}
