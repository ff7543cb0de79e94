//! Who is let in: loopback, own host, own pages; what every answer carries.

use std::{
    io::{Read, Write},
    net::{IpAddr, Ipv4Addr, SocketAddr, TcpStream},
};

use crate::bay::{Bench, HOST, PORT, REF, encoded, form};
use axum::{
    body::Body,
    http::{Method, Request, StatusCode, header},
};

const FIELDS: [(&str, &str); 2] = [("ref", REF), ("what", "note=hello")];

/// Sends a note with these headers; says the status and how many notes there are then.
async fn note(bench: &Bench, job: &str, headers: &[(&str, &str)]) -> (StatusCode, usize) {
    let mut request = form(&format!("/car/{job}/did"), &FIELDS);
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    let got = bench.send(request.body(Body::from(encoded(&FIELDS))).unwrap()).await;
    (got.status, bench.counted(job, "note"))
}

#[tokio::test]
async fn a_tap_from_a_page_of_another_site_is_refused() {
    let bench = Bench::new();
    let job = bench.van().await;
    let foreign: [&[(&str, &str)]; 9] = [
        &[("origin", "http://evil.example")],
        &[("origin", "null")],
        &[("origin", "https://127.0.0.1:4180")],
        &[("origin", "http://127.0.0.1:4181")],
        &[("origin", "http://127.0.0.1:4180"), ("origin", "http://evil.example")],
        &[("origin", "http://127.0.0.1:4180"), ("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "same-site")],
        &[("referer", "http://evil.example/127.0.0.1:4180/")],
        &[("referer", "http://127.0.0.1:4180.evil.example/")],
    ];
    for headers in foreign {
        let expected = (StatusCode::FORBIDDEN, 0);
        assert_eq!(note(&bench, &job, headers).await, expected, "{headers:?}");
    }
    let own: &[(&str, &str)] = &[
        ("origin", "http://127.0.0.1:4180"),
        ("sec-fetch-site", "same-origin"),
        ("referer", "http://127.0.0.1:4180/car/x"),
    ];
    assert_eq!(note(&bench, &job, own).await, (StatusCode::SEE_OTHER, 1));
}

#[tokio::test]
async fn what_is_no_browser_and_says_nothing_of_a_page_may_write() {
    let bench = Bench::new();
    let job = bench.van().await;
    assert_eq!(note(&bench, &job, &[]).await, (StatusCode::SEE_OTHER, 1));
}

#[tokio::test]
async fn a_foreign_name_for_this_machine_is_misdirected_on_reads_and_writes() {
    let bench = Bench::new();
    let hosts = [
        "evil.example",
        "evil.example:4180",
        "127.0.0.1",
        "127.0.0.1:80",
        "0.0.0.0:4180",
        "",
    ];
    for host in hosts {
        for method in [Method::GET, Method::POST] {
            let request =
                Request::builder().method(method).uri("/").header(header::HOST, host);
            let got = bench.send(request.body(Body::empty()).unwrap()).await;
            assert_eq!(got.status, StatusCode::MISDIRECTED_REQUEST, "{host}");
        }
    }
    let nameless = bench.send(Request::get("/").body(Body::empty()).unwrap()).await;
    assert_eq!(nameless.status, StatusCode::MISDIRECTED_REQUEST);
    let twice =
        Request::get("/").header(header::HOST, HOST).header(header::HOST, "evil.example");
    let got = bench.send(twice.body(Body::empty()).unwrap()).await;
    assert_eq!(got.status, StatusCode::MISDIRECTED_REQUEST);
    let whole = Request::get("http://evil.example:4180/").header(header::HOST, HOST);
    let got = bench.send(whole.body(Body::empty()).unwrap()).await;
    assert_eq!(got.status, StatusCode::MISDIRECTED_REQUEST);
    for host in [HOST, "localhost:4180", "[::1]:4180"] {
        let request = Request::get("/").header(header::HOST, host);
        let got = bench.send(request.body(Body::empty()).unwrap()).await;
        assert_eq!(got.status, StatusCode::OK, "{host}");
    }
}

#[tokio::test]
async fn every_answer_is_hardened() {
    let bench = Bench::new();
    let job = bench.van().await;
    let paths = [
        "/".to_owned(),
        format!("/car/{job}"),
        "/assets/app.js".to_owned(),
        "/none".to_owned(),
    ];
    for path in paths {
        let got = bench.get(&path).await;
        let of = |name: &str| {
            got.headers.get(name).map_or("", |value| value.to_str().unwrap())
        };
        let policy = of("content-security-policy");
        for part in [
            "default-src 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
            "form-action 'self'",
        ] {
            assert!(policy.contains(part), "{path}: {policy}");
        }
        assert!(!policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(of("x-content-type-options"), "nosniff");
        assert_eq!(of("referrer-policy"), "same-origin");
        assert!(["no-store", "no-cache"].contains(&of("cache-control")), "{path}");
    }
}

#[tokio::test]
async fn a_form_has_at_most_64_kib() {
    let bench = Bench::new();
    let job = bench.van().await;
    let long = "x".repeat(65 * 1024);
    let got = bench
        .post(
            &format!("/car/{job}/did"),
            &[("ref", REF), ("what", "note="), ("say", &long)],
        )
        .await;
    assert_eq!(got.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(bench.counted(&job, "note"), 0);
}

#[tokio::test]
async fn looking_never_writes() {
    let bench = Bench::new();
    let job = bench.van().await;
    // Something else than a tap here changed the job: nothing is advised for this state yet.
    let happened = app::bay::Happened::Note("from elsewhere".to_owned());
    bench.bay().did(&job, &[happened], None).unwrap();
    let before = bench.show(&job).events;
    let car = format!("/car/{job}");
    for view in ["", "/else", "/odds", "/options", "/hand-over"] {
        assert_eq!(
            bench.get(&format!("{car}{view}")).await.status,
            StatusCode::OK,
            "{view}"
        );
    }
    assert_eq!(bench.get("/").await.status, StatusCode::OK);
    assert_eq!(bench.get("/new").await.status, StatusCode::OK);
    for write in ["/did", "/undo", "/next", "/pass-on"] {
        let got = bench.get(&format!("{car}{write}?ref={REF}&what=note%3Dx")).await;
        assert_eq!(got.leads_to(), car, "{write}");
    }
    assert_eq!(bench.show(&job).events, before);
    // The page offers to work it out, and does so once.
    let page = bench.get(&car).await.text;
    assert!(page.contains("Work it out"));
    let got = bench.post(&format!("{car}/next"), &[]).await;
    assert_eq!(got.leads_to(), car);
    assert!(!bench.get(&car).await.text.contains("Work it out"));
}

#[tokio::test]
async fn a_form_names_no_file_of_this_machine() {
    let bench = Bench::new();
    let job = bench.van().await;
    for what in ["photo=/etc/hostname", "recording:before=/etc/hostname"] {
        let got =
            bench.post(&format!("/car/{job}/did"), &[("ref", REF), ("what", what)]).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{what}");
        assert!(
            got.text.contains("A file can&#39;t be named here")
                || got.text.contains("A file can't be named here"),
            "{}",
            got.text
        );
    }
}

#[tokio::test]
async fn only_loopback_is_listened_on() {
    for other in [Ipv4Addr::UNSPECIFIED, Ipv4Addr::new(192, 0, 2, 7)] {
        let refused =
            web::listen(SocketAddr::new(IpAddr::V4(other), 0)).await.unwrap_err();
        assert_eq!(refused.kind, "not-loopback");
    }
    let own =
        web::listen(SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 0)).await.unwrap();
    let taken = web::listen(own.local_addr().unwrap()).await.unwrap_err();
    assert_eq!(taken.kind, "port");
}

#[tokio::test(flavor = "multi_thread")]
async fn it_is_served_on_127_0_0_1_with_the_advice_ready() {
    let bench = Bench::new();
    let job = bench.van().await;
    let path = bench.path();
    let (tell, told) = tokio::sync::oneshot::channel();
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let open = move || app::bay::Bay::open(&path, "Jorun");
    let served = tokio::spawn(web::serve(
        0,
        open,
        move |address| tell.send(address).unwrap(),
        async move { stopped.await.unwrap() },
    ));
    let address: SocketAddr = told.await.unwrap();
    assert_eq!(address.ip(), IpAddr::V4(Ipv4Addr::LOCALHOST));
    assert_ne!(address.port(), PORT);
    let ask = move |path: String| {
        let mut stream = TcpStream::connect(address).unwrap();
        write!(
            stream,
            "GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n"
        )
        .unwrap();
        let mut text = String::new();
        stream.read_to_string(&mut text).unwrap();
        text
    };
    let mut page = String::new();
    for _ in 0..200 {
        let path = format!("/car/{job}");
        page = tokio::task::spawn_blocking(move || ask(path)).await.unwrap();
        assert!(page.starts_with("HTTP/1.1 200"), "{page}");
        if !page.contains("Work it out") {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    assert!(page.contains("What came of it"), "{page}");
    stop.send(()).unwrap();
    served.await.unwrap().unwrap();
}
