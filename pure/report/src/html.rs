//! A page as an HTML fragment: plain elements, every text escaped.
//!
//! Classes: `page`, `lead`, `quiet`, `stop`, `facts`, `head`, `number`, `done`, `open`,
//! `sum`, `caution`, `choices`, `drawing`, `photo`, `sign`.

use std::fmt::Write;

use pages::{Align, Block, List, Mark, Page, Pair, Photo, PhotoFormat, Table};

use crate::{base64::base64, svg::svg};

/// Style of a document of its own.
const STYLE: &str = include_str!("page.css");

/// The page as one `<article>` element.
#[must_use]
pub fn html(page: &Page) -> String {
    let mut out = String::new();
    push(
        &mut out,
        format_args!(
            "<article class=\"page\" lang=\"{}\">\n<h1>{}</h1>\n",
            escape(page.language.as_str()),
            escape(page.title.as_str())
        ),
    );
    for block in &page.blocks {
        write_block(&mut out, block);
        out.push('\n');
    }
    out.push_str("</article>\n");
    out
}

/// The page as a whole document with its own style: it needs nothing beside it, fits a phone
/// held upright and prints.
#[must_use]
pub fn document(page: &Page) -> String {
    let language = escape(page.language.as_str());
    let title = escape(page.title.as_str());
    let article = html(page);
    format!(
        "<!DOCTYPE html>\n<html lang=\"{language}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n{article}</body>\n\
         </html>\n"
    )
}

/// One block as HTML.
#[must_use]
pub fn block(block: &Block) -> String {
    let mut out = String::new();
    write_block(&mut out, block);
    out
}

/// Text for element content and for quoted attributes.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(c),
        }
    }
    out
}

fn write_block(out: &mut String, block: &Block) {
    match block {
        Block::Heading(text) => element(out, "h2", "", text.as_str()),
        Block::Subheading(text) => element(out, "h3", "", text.as_str()),
        Block::Lead(text) => element(out, "p", "lead", text.as_str()),
        Block::Paragraph(text) => element(out, "p", "", text.as_str()),
        Block::Quiet(text) => element(out, "p", "quiet", text.as_str()),
        Block::Stop(text) => push(
            out,
            format_args!(
                "<p class=\"stop\" role=\"alert\"><strong>{}</strong></p>",
                escape(text.as_str())
            ),
        ),
        Block::Facts(pairs) => pairs_list(out, "facts", pairs),
        Block::Head(pairs) => pairs_list(out, "head", pairs),
        Block::Table(table) => write_table(out, table),
        Block::List(list) => write_list(out, list),
        Block::Caution(caution) => push(
            out,
            format_args!(
                "<p class=\"caution\" role=\"note\"><strong>{}</strong> {}</p>",
                escape(caution.word.as_str()),
                escape(caution.text.as_str())
            ),
        ),
        Block::Choices(choices) => {
            out.push_str("<ul class=\"choices\">");
            for choice in choices {
                push(
                    out,
                    format_args!(
                        "<li data-choice=\"{}\">{}{}</li>",
                        escape(choice.id.as_str()),
                        escape(choice.text.as_str()),
                        small(choice.hint.as_str())
                    ),
                );
            }
            out.push_str("</ul>");
        }
        Block::Drawing(drawing) => push(
            out,
            format_args!(
                "<figure class=\"drawing\"><figcaption>{}</figcaption>{}</figure>",
                escape(drawing.title.as_str()),
                svg(drawing)
            ),
        ),
        Block::Photo(photo) => write_photo(out, photo),
        Block::Sign(labels) => {
            out.push_str("<ul class=\"sign\">");
            for label in labels {
                element(out, "li", "", label.as_str());
            }
            out.push_str("</ul>");
        }
        Block::Break => out.push_str("<hr>"),
    }
}

fn element(out: &mut String, name: &str, class: &str, text: &str) {
    let class =
        if class.is_empty() { String::new() } else { format!(" class=\"{class}\"") };
    push(out, format_args!("<{name}{class}>{}</{name}>", escape(text)));
}

fn small(text: &str) -> String {
    if text.is_empty() {
        String::new()
    } else {
        format!(" <small>{}</small>", escape(text))
    }
}

fn pairs_list(out: &mut String, class: &str, pairs: &[Pair]) {
    push(out, format_args!("<dl class=\"{class}\">"));
    for pair in pairs {
        push(
            out,
            format_args!(
                "<div><dt>{}</dt><dd>{}</dd></div>",
                escape(pair.label.as_str()),
                escape(pair.value.as_str())
            ),
        );
    }
    out.push_str("</dl>");
}

fn marked(mark: Mark) -> &'static str {
    match mark {
        Mark::None => "",
        Mark::Done => " class=\"done\"",
        Mark::Open => " class=\"open\"",
        Mark::Sum => " class=\"sum\"",
    }
}

/// What a screen reader says where the eye sees the stripe or the box.
fn spoken(mark: Mark) -> &'static str {
    match mark {
        Mark::Done => "<span class=\"mark\" role=\"img\" aria-label=\"done\"></span>",
        Mark::Open => "<span class=\"mark\" role=\"img\" aria-label=\"open\"></span>",
        Mark::None | Mark::Sum => "",
    }
}

fn write_table(out: &mut String, table: &Table) {
    let class = |at: usize| match table.columns.get(at).map(|column| column.align) {
        Some(Align::Right) => " class=\"number\"",
        Some(Align::Left) | None => "",
    };
    // Where a table is too wide the cells stand below one another, each with its heading.
    let heading = |at: usize| match table.columns.get(at) {
        Some(column) if !column.heading.as_str().is_empty() => {
            format!(" data-heading=\"{}\"", escape(column.heading.as_str()))
        }
        Some(_) | None => String::new(),
    };
    out.push_str("<table><thead><tr>");
    for (at, column) in table.columns.iter().enumerate() {
        push(
            out,
            format_args!(
                "<th scope=\"col\"{}>{}</th>",
                class(at),
                escape(column.heading.as_str())
            ),
        );
    }
    out.push_str("</tr></thead><tbody>");
    for row in &table.rows {
        push(out, format_args!("<tr{}>", marked(row.mark)));
        for (at, cell) in row.cells.iter().enumerate() {
            let mark = if at == 0 { spoken(row.mark) } else { "" };
            push(
                out,
                format_args!(
                    "<td{}{}>{mark}{}</td>",
                    class(at),
                    heading(at),
                    escape(cell.as_str())
                ),
            );
        }
        out.push_str("</tr>");
    }
    out.push_str("</tbody></table>");
}

fn write_list(out: &mut String, list: &List) {
    let name = if list.ordered { "ol" } else { "ul" };
    push(out, format_args!("<{name}>"));
    for entry in &list.entries {
        push(
            out,
            format_args!(
                "<li{}>{}{}</li>",
                marked(entry.mark),
                spoken(entry.mark),
                escape(entry.text.as_str())
            ),
        );
    }
    push(out, format_args!("</{name}>"));
}

fn write_photo(out: &mut String, photo: &Photo) {
    let caption = escape(photo.caption.as_str());
    let kind = match photo.format() {
        Some(PhotoFormat::Jpeg) => "image/jpeg",
        Some(PhotoFormat::Png) => "image/png",
        None => {
            push(out, format_args!("<p class=\"quiet\">Photo: {caption}</p>"));
            return;
        }
    };
    let source = format!("data:{kind};base64,{}", base64(&photo.bytes));
    push(out, format_args!("<figure class=\"photo\">"));
    match photo.size().filter(|_| !photo.marks.is_empty()) {
        Some(size) => write_marked(out, photo, (&source, size)),
        None => push(out, format_args!("<img src=\"{source}\" alt=\"{caption}\">")),
    }
    push(out, format_args!("<figcaption>{caption}</figcaption></figure>"));
}

/// A photo with what is marked on it.
fn write_marked(out: &mut String, photo: &Photo, (source, size): (&str, (u32, u32))) {
    let [width, height] = [size.0, size.1].map(f64::from);
    let radius = width / 20.0;
    let labels: Vec<String> = photo.marks.iter().map(|m| escape(&m.label)).collect();
    push(
        out,
        format_args!(
            "<svg viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"{}, marked: {}\"><image href=\"{source}\" width=\"{width}\" height=\"{height}\"/>",
            escape(photo.caption.as_str()),
            labels.join(", ")
        ),
    );
    for (mark, label) in photo.marks.iter().zip(&labels) {
        let (x, y) = (mark.x * width, mark.y * height);
        let (fill, ink) =
            if mark.settled { ("#bbb", "#595959") } else { ("#fff", "#000") };
        push(
            out,
            format_args!(
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius:.1}\" fill=\"{fill}\" stroke=\"{ink}\" stroke-width=\"{:.1}\"/><text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{:.1}\" font-weight=\"700\" text-anchor=\"middle\" dominant-baseline=\"central\" fill=\"#000\">{label}</text>",
                radius / 6.0,
                radius * 1.2
            ),
        );
    }
    push(out, format_args!("</svg>"));
}

fn push(out: &mut String, text: std::fmt::Arguments<'_>) {
    // Writing to a String can't fail.
    let _ = out.write_fmt(text);
}
