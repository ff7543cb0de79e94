//! The way in: items in the order that moves about least. The way out: its mirror, corrected.

use sheet::{Item, ItemIx, ItemSet, Moving, Sheet};

use crate::ask::StripError;
use crate::order::{Budget, Changes, OrderError, Problem, solve};

/// Parts of a minute that the order solver counts in: as fine as any tie (design section 5).
const PARTS_A_MINUTE: f64 = 1e9;
/// The most that one change may count.
const MOST_PARTS: f64 = 1e15;

/// The items in the order they come off.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct WayIn {
    /// First to last.
    pub items: Vec<ItemIx>,
    /// Minutes of moving about between them.
    pub moving_minutes: f64,
    /// No order moves about for less.
    pub lower_bound: f64,
    /// Whether no order moves about for less than this one.
    pub proven: bool,
    /// Whether it is proven to be the first by sheet order among the best.
    pub first: bool,
}

/// The spanner of an item: across flats of its first fastener that has a head, "13 mm".
pub(crate) fn tool(item: &Item) -> Option<String> {
    item.fasteners.iter().find_map(|fastener| fastener.head_mm).map(across_flats)
}

/// A width across flats as the name of a spanner.
pub(crate) fn across_flats(head_mm: f64) -> String {
    format!("{head_mm} mm")
}

/// Minutes of moving about from one item to the next.
pub(crate) fn between(moving: Moving, one: &Item, two: &Item) -> f64 {
    let position = if one.position == two.position { 0.0 } else { moving.position_min };
    position + if tool(one) == tool(two) { 0.0 } else { moving.tool_min }
}

/// The class of each item: the place of its first equal.
fn classes<T: PartialEq>(of: &[T]) -> Vec<usize> {
    of.iter()
        .map(|value| of.iter().position(|other| other == value).unwrap_or(0))
        .collect()
}

/// Orders the items to strip; of each pair of `also` the first comes off first.
///
/// # Errors
/// A circle in `behind` and `also`.
pub(crate) fn way_in(
    sheet: &Sheet,
    strip: ItemSet,
    also: &[(ItemIx, ItemIx)],
    budget: &Budget<'_>,
) -> Result<WayIn, StripError> {
    let list: Vec<ItemIx> =
        strip.iter().filter(|ix| ix.at() < sheet.items.len()).collect();
    let items: Vec<&Item> = list.iter().map(|ix| &sheet.items[ix.at()]).collect();
    let mut pairs = Vec::new();
    for (later, item) in items.iter().enumerate() {
        let fronts = list
            .iter()
            .enumerate()
            .filter(|(first, front)| *first != later && item.closure.has(**front));
        pairs.extend(fronts.map(|(first, _)| (first, later)));
    }
    let place = |wanted: ItemIx| list.iter().position(|&item| item == wanted);
    pairs.extend(also.iter().filter_map(|&(one, two)| Some((place(one)?, place(two)?))));
    let Moving { position_min, tool_min } = sheet.moving;
    let scale = PARTS_A_MINUTE.min(MOST_PARTS / position_min.max(tool_min).max(1.0));
    let positions: Vec<_> = items.iter().map(|item| item.position.as_deref()).collect();
    let tools: Vec<_> = items.iter().map(|item| tool(item)).collect();
    let (position, tool) = (classes(&positions), classes(&tools));
    let layers = vec![
        Changes { cost: parts(position_min * scale), class: position.clone() },
        Changes { cost: parts(tool_min * scale), class: tool.clone() },
    ];
    let name =
        |place: &usize| items.get(*place).map_or("", |item| item.id.as_str()).to_owned();
    let problem = match Problem::from_changes(items.len(), layers, &pairs) {
        Ok(problem) => problem,
        Err(OrderError::Circle(places)) => {
            return Err(StripError::BehindCircle(places.iter().map(name).collect()));
        }
        Err(other) => return Err(StripError::NotOnSheet(other.to_string())),
    };
    let order = solve(&problem, budget);
    let changes = |class: &[usize]| {
        order.nodes.windows(2).filter(|pair| class[pair[0]] != class[pair[1]]).count()
    };
    let minutes = |class: &[usize], each: f64| {
        u32::try_from(changes(class)).map_or(f64::MAX, f64::from) * each
    };
    let moving_minutes = minutes(&position, position_min) + minutes(&tool, tool_min);
    let below =
        if order.proven { moving_minutes } else { whole(order.lower_bound) / scale };
    Ok(WayIn {
        items: order.nodes.iter().map(|&place| list[place]).collect(),
        moving_minutes,
        lower_bound: below.min(moving_minutes),
        proven: order.proven,
        first: order.first,
    })
}

#[expect(clippy::cast_possible_truncation, reason = "scaled to at most 10^15")]
fn parts(scaled: f64) -> i64 {
    scaled.round().clamp(0.0, MOST_PARTS) as i64
}

#[expect(clippy::cast_precision_loss, reason = "a bound in parts of a minute, rounded")]
fn whole(parts: i64) -> f64 {
    parts as f64
}

/// The order in which items go back: at each place the earliest in the mirror of `taken` that
/// may go back now. An item goes back before all that it lies behind, and after all that its
/// `refit_after` names.
///
/// # Errors
/// A circle of `behind` and `refit_after`.
pub(crate) fn way_out(
    sheet: &Sheet,
    taken: &[ItemIx],
) -> Result<Vec<ItemIx>, StripError> {
    let mut waiting: Vec<ItemIx> = taken.iter().rev().copied().collect();
    let mut back = Vec::with_capacity(waiting.len());
    let mut off: ItemSet = waiting.iter().copied().collect();
    while !waiting.is_empty() {
        let free = waiting.iter().position(|&item| {
            let rest = off.minus(ItemSet::one(item));
            let behind_it = rest.iter().any(|other| {
                sheet.items.get(other.at()).is_some_and(|other| other.closure.has(item))
            });
            let after =
                sheet.items.get(item.at()).map_or(&[][..], |item| &item.refit_after);
            !behind_it && !after.iter().any(|&first| off.has(first))
        });
        let Some(place) = free else {
            let named = waiting.iter().filter_map(|ix| sheet.items.get(ix.at()));
            return Err(StripError::RefitCircle(
                named.map(|item| item.id.clone()).collect(),
            ));
        };
        let item = waiting.remove(place);
        off = off.minus(ItemSet::one(item));
        back.push(item);
    }
    Ok(back)
}
