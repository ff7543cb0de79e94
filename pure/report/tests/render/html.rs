//! HTML: plain elements, and payloads that stay text.

use pages::{Block, Choice, Page, Photo, PhotoMark, Table, pair};
use report::{block, document, html};

const PAYLOADS: [&str; 6] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)",
    "&lt;b&gt; &amp; &#60;",
    "</svg></title><script>1</script>",
    "javascript:alert(1)",
];

/// A page whose every text is the payload.
fn payload_page(payload: &str) -> Page {
    let mut page = Page::new(payload, payload);
    page.heading(payload);
    page.subheading(payload);
    page.lead(payload);
    page.paragraphs(payload);
    page.quiet(payload);
    page.stop(payload);
    page.facts(vec![pair(payload, payload)]);
    page.head(vec![pair(payload, payload)]);
    let mut table = Table::new(&[payload, payload]);
    table.row(vec![payload.into(), payload.into()]);
    page.table(table);
    page.list(true, [payload]);
    page.cautions([payload]);
    let choice =
        Choice { id: payload.into(), text: payload.into(), hint: payload.into() };
    page.blocks.push(Block::Choices(vec![choice]));
    page.blocks.push(Block::Sign(vec![payload.into()]));
    let bytes = b"no photo".to_vec();
    page.blocks.push(Block::Photo(Photo::plain(payload, bytes)));
    let items = [pages::MapItem {
        title: payload.to_owned(),
        state: pages::MapState::Off,
        behind: Vec::new(),
    }];
    page.blocks.push(Block::Drawing(pages::strip_map(payload, &items)));
    page
}

/// OWASP Cross Site Scripting Prevention: the five characters are entities everywhere.
#[test]
fn payloads_stay_text() {
    for payload in PAYLOADS {
        let page = html(&payload_page(payload));
        for tag in ["<script", "<img", "<b>", "onmouseover='", "onerror=alert(1)>"] {
            assert!(!page.contains(tag), "{payload}: {tag}\n{page}");
        }
        // Outside of tags of our own there is no bare quote, and every & starts an entity.
        for piece in page.split('&').skip(1) {
            let entity = piece.split(';').next().unwrap();
            assert!(["amp", "lt", "gt", "quot", "#39"].contains(&entity), "{entity}");
        }
        let known = [
            "article",
            "h1",
            "h2",
            "h3",
            "p",
            "strong",
            "dl",
            "div",
            "dt",
            "dd",
            "table",
            "thead",
            "tbody",
            "tr",
            "th",
            "td",
            "ul",
            "ol",
            "li",
            "small",
            "figure",
            "figcaption",
            "svg",
            "title",
            "rect",
            "text",
            "polyline",
            "polygon",
            "circle",
            "span",
        ];
        for piece in page.split('<').skip(1) {
            let name =
                piece.trim_start_matches('/').split([' ', '>', '/']).next().unwrap();
            assert!(known.contains(&name), "{name} from {payload}");
        }
    }
}

/// The title and the language stand in the head of a document too.
#[test]
fn a_document_carries_its_style_and_no_payload() {
    for payload in PAYLOADS {
        let text = document(&payload_page(payload));
        let (head, body) = text.split_once("</head>").unwrap();
        assert_eq!(head.matches("</title>").count(), 1, "{head}");
        assert_eq!(head.matches("</style>").count(), 1);
        assert!(!text.contains("<script") && !text.contains("<img"), "{payload}");
        assert!(body.contains(&html(&payload_page(payload))));
    }
}

#[test]
fn a_small_page() {
    let mut page = Page::new("Reading", "de");
    page.lead("Within the limits.");
    page.facts(vec![pair("Value", "7.9 ohm")]);
    assert_eq!(
        html(&page),
        "<article class=\"page\" lang=\"de\">\n<h1>Reading</h1>\n\
         <p class=\"lead\">Within the limits.</p>\n\
         <dl class=\"facts\"><div><dt>Value</dt><dd>7.9 ohm</dd></div></dl>\n</article>\n"
    );
}

#[test]
fn done_and_open_are_spoken_too() {
    let page = html(&pages::file_report(&crate::demo::file()));
    assert!(page.contains("aria-label=\"done\""));
    assert!(page.contains("aria-label=\"open\""));
    assert!(page.contains("role=\"img\""));
    assert!(page.contains("<th scope=\"col\""));
}

/// The smallest PNG and a JPEG start are carried as data; anything else is named.
#[test]
fn photos_are_carried_or_named() {
    let png = b"\x89PNG\r\n\x1a\n".to_vec();
    let photo = |bytes| Block::Photo(Photo::plain("Rod", bytes));
    assert!(block(&photo(png)).contains("data:image/png;base64,iVBORw0KGgo="));
    assert!(
        block(&photo(vec![0xff, 0xd8, 0xff])).contains("data:image/jpeg;base64,/9j/")
    );
    assert_eq!(block(&photo(vec![1, 2, 3])), "<p class=\"quiet\">Photo: Rod</p>");
}

/// A mark stands at its share of the photo's size, and is spoken too.
#[test]
fn marks_stand_where_they_were_set() {
    let mark = |label: &str, settled| PhotoMark {
        label: label.to_owned(),
        x: 0.25,
        y: 0.5,
        settled,
    };
    let marks = vec![mark("3", false), mark("4", true)];
    let photo = Photo { marks, ..Photo::plain("Rod", crate::demo::wide_png()) };
    let html = block(&Block::Photo(photo));
    assert!(html.contains("viewBox=\"0 0 4 2\""), "{html}");
    assert_eq!(html.matches("cx=\"1.0\" cy=\"1.0\" r=\"0.2\"").count(), 2);
    assert!(html.contains("aria-label=\"Rod, marked: 3, 4\""));
    assert!(html.contains("fill=\"#bbb\"") && html.contains(">3</text>"));
}
