//! The tray as a page: what is off, what lies in which cell, what is easily mixed up.

use crate::{
    Block, DEFERS, MapItem, MeasureRow, Page, TrayItem, measures, strip_map, tray_drawing,
};

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TrayView {
    /// What the car is called.
    pub name: String,
    /// Language of the titles.
    pub language: String,
    /// Why the engine must not be started; empty: it may.
    pub do_not_start: Vec<String>,
    /// Items by what lies behind what.
    pub map: Vec<MapItem>,
    /// Items with their cells.
    pub tray: Vec<TrayItem>,
    /// What is measured on the way.
    pub measures: Vec<MeasureRow>,
    /// What a swap of look-alikes would do.
    pub look_alikes: Vec<String>,
    /// Remarks.
    pub remarks: Vec<String>,
}

/// The page.
#[must_use]
pub fn tray_page(view: &TrayView) -> Page {
    let mut page = Page::new(format!("Tray of {}", view.name), &view.language);
    for why in &view.do_not_start {
        page.stop(format!("DO NOT START: {why}"));
    }
    page.heading("In the tray");
    if view.tray.is_empty() {
        page.paragraphs("Nothing came off yet.");
    } else {
        page.blocks.push(Block::Drawing(tray_drawing("In the tray", &view.tray)));
    }
    if !view.look_alikes.is_empty() {
        page.heading("Easily mixed up");
        page.list(false, view.look_alikes.iter().map(String::as_str));
    }
    measures(&mut page, &view.measures);
    if !view.map.is_empty() {
        page.heading("What lies behind what");
        page.blocks.push(Block::Drawing(strip_map("What lies behind what", &view.map)));
    }
    page.remarks(&view.remarks);
    page.quiet(DEFERS);
    page
}
