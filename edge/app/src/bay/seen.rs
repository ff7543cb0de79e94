//! Also seen: what it costs now, while access is open, and what it costs later.

use sheet::ItemSet;

use super::car::Car;

/// Price now (part and minutes) and later (and the way there and back), money.
pub(crate) fn prices(
    car: &Car,
    item: Option<&str>,
    part: f64,
    minutes: f64,
) -> (f64, f64) {
    let now = part + car.economy.work(minutes);
    let found = item.and_then(|id| car.sheet.items.iter().find(|entry| entry.id == id));
    let closure = found.map_or(ItemSet::EMPTY, |item| item.closure);
    let way: f64 = closure
        .iter()
        .filter_map(|ix| car.sheet.items.get(ix.at()))
        .map(|item| {
            car.economy.work(item.strip_min + item.refit_min)
                + car.economy.waiting(item.wait_min)
                + item.refit_parts
        })
        .sum();
    (now, now + way)
}
