//! Measures of an item: what is measured on the way, and within which limits.

use units::Quantity;

use crate::kinds::Kind;
use crate::table::Table;
use crate::take::{Reader, Within};
use crate::{CheckIx, Text};

/// Something to be measured at an item: a play, a depth, a runout, a level.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// Its id, unique within its item.
    pub id: String,
    /// Its title.
    pub title: Text,
    /// Instructions.
    pub how: Text,
    /// Quantity, as in `units`.
    pub quantity: String,
    /// Unit of the limits.
    pub unit: String,
    /// Lower limit, itself in order; at least one of the two is there.
    pub least: Option<f64>,
    /// Upper limit, itself in order.
    pub most: Option<f64>,
    /// before (the item is still on) | off | refit (as it goes back).
    pub when: String,
    /// unsafe | soon | watch: how pressing it is where it is out of its limits.
    pub urgency: String,
    /// The measured check that it answers; none: it is only also seen.
    pub answers: Option<CheckIx>,
}

impl<'a> Reader<'a> {
    /// Reads a measure of an item.
    pub(crate) fn measure(&mut self, table: &Table<'a>, id: &str) -> Measure {
        let quantity = self.quantity(table);
        let unit = self.unit(table, quantity);
        let (least, most) = self.limits(table);
        let when = self.word(table, "when", &["before", "off", "refit"]);
        let urgency = self.word(table, "urgency", &["unsafe", "soon", "watch"]);
        Measure {
            id: id.to_owned(),
            title: self.title(table, id),
            how: self.text(table, "how").unwrap_or_default(),
            quantity: quantity.map_or_else(String::new, |q| q.name().to_owned()),
            unit: unit.map_or_else(String::new, units::Unit::symbol),
            least,
            most,
            when: when.unwrap_or("off").to_owned(),
            urgency: urgency.unwrap_or("soon").to_owned(),
            answers: self.answers(table, quantity),
        }
    }

    /// The limits of a measure: one at least, the right way round.
    fn limits(&mut self, table: &Table<'a>) -> (Option<f64>, Option<f64>) {
        if !table.has("least") && !table.has("most") {
            self.missing(table, "most", "0.12; or `least`, or both");
        }
        let least = self.number(table, "least", Within::Any);
        let most = self.number(table, "most", Within::Any);
        if let (Some(low), Some(high)) = (least, most)
            && low > high
        {
            let what =
                format!("no value is in order: `least` {low} lies above `most` {high}");
            self.notes
                .error("limits", table.value_span("least"), what)
                .hint("write the smaller of the two as `least`");
        }
        (least, most)
    }

    /// The check that a measure answers, which is a measured one of the same quantity.
    fn answers(
        &mut self,
        table: &Table<'a>,
        quantity: Option<Quantity>,
    ) -> Option<CheckIx> {
        let (id, span) = self.string(table, "answers")?;
        let place = self.refer(Kind::Check, (id, span.clone()))?;
        let read = self.names.quantities.get(place).copied().flatten();
        let Some(read) = read else {
            let what = format!("`{id}` is no measured check: a measure can't answer it");
            self.notes
                .error("answers", span, what)
                .hint("give the check a `[check.reading]`, or leave `answers` out");
            return None;
        };
        let differs = Quantity::parse(read).ok().zip(quantity).filter(|(a, b)| a != b);
        if let Some((asked, given)) = differs {
            let what = format!("`{id}` wants {asked}, and this measure is {given}");
            self.notes.error("answers", span, what).hint("name a check that wants it");
            return None;
        }
        Some(CheckIx::from(place))
    }
}
