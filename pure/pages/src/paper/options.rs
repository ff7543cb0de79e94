//! The owner's page: what can be done next, each as money, chance and day.

use crate::{Page, pair, say};

/// One way to go on.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OwnerOption {
    /// What would be done: clean, replace, no more.
    pub title: String,
    /// Usual price from here, tax in it.
    pub usual: f64,
    /// Seldom above this.
    pub above: f64,
    /// Chance that it holds for the promise.
    pub holds: Option<f64>,
    /// When it would be ready, as it is to be read.
    pub ready: String,
    /// What happens if it does not hold.
    pub if_fails: String,
}

/// What the owner's page is filled from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OptionsView {
    /// The vehicle and plate.
    pub vehicle: String,
    /// Language of the page.
    pub language: String,
    /// ISO 4217 currency.
    pub currency: String,
    /// Spent until now.
    pub spent: f64,
    /// Price of handing it back as found, from here.
    pub put_back: f64,
    /// What the owner agreed to; `None`: nothing yet.
    pub authorised: Option<f64>,
    /// The ways to go on.
    pub options: Vec<OwnerOption>,
    /// What to tell the owner, where ringing is the next step.
    pub say: String,
    /// Remarks.
    pub remarks: Vec<String>,
}

/// The owner's page.
#[must_use]
pub fn options_page(view: &OptionsView) -> Page {
    let mut page = Page::new("What can be done", &view.language);
    let currency = &view.currency;
    let authorised = view
        .authorised
        .map_or_else(|| "nothing yet".to_owned(), |sum| say::money(sum, currency));
    page.head(vec![
        pair("Vehicle", &view.vehicle),
        pair("Spent until now", say::money(view.spent, currency)),
        pair("Agreed up to", authorised),
    ]);
    if !view.say.is_empty() {
        page.subheading("Ring the owner first");
        page.lead(&view.say);
    }
    for option in &view.options {
        page.heading(&option.title);
        page.facts(vec![
            pair("Price from here", say::usually(option.usual, option.above, currency)),
            pair(
                "Chance that it holds",
                option.holds.map_or_else(|| "not known".to_owned(), say::chance),
            ),
            pair("Ready", &option.ready),
            pair("If it does not hold", &option.if_fails),
        ]);
    }
    page.heading("Stop here");
    page.facts(vec![
        pair("Put back as found", say::money(view.put_back, currency)),
        pair("To pay then", say::money(view.spent + view.put_back, currency)),
    ]);
    page.remarks(&view.remarks);
    page
}
