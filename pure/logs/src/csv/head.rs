//! Where the table of a file begins: its header, its row of units, its first data.

use super::cell::{Cell, Mark, cell, is_group};
use super::clock::{Order, day_number, moment};
use super::sniff::states_separator;
use super::split::{Line, Syntax};
use crate::header::{Column, column, name_apart, unit_row};
use crate::{share, so_many};
use units::Unit;

/// Rows among which a header is looked for.
const LOOKED_AT: usize = 80;

/// Share of the usual number of cells that a header must fill.
const NAMES: f64 = 0.6;

/// Share of a column's cells that must carry a unit for it to be taken off.
const SUFFIXED: f64 = 0.8;

/// A table's head.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Head {
    pub(crate) columns: Vec<Column>,
    /// Cells of the header, by which a repeat is known.
    pub(crate) header: Vec<String>,
    /// Unit that each column's cells carry.
    pub(crate) suffixes: Vec<Option<String>>,
    /// Where the data begin.
    pub(crate) data_at: usize,
    pub(crate) rows: Vec<Vec<String>>,
    pub(crate) mark: Mark,
    pub(crate) remarks: Vec<String>,
}

/// Finds the head of a table.
pub(crate) fn head(lines: &[Line], syntax: Syntax) -> Option<Head> {
    let mut remarks = Vec::new();
    let lines: Vec<&Line> =
        lines.iter().filter(|l| !states_separator(&l.cells)).collect();
    let rows: Vec<&Line> = lines.iter().filter(|line| !line.comment).copied().collect();
    let width = usual_width(&rows)?;
    let (header, mut first) = if let Some(at) = label_above(&rows, width) {
        (Some(rows[at]), at + 1)
    } else {
        let first = rows.iter().position(|row| filled(row) >= 2)?;
        let above = lines.iter().take_while(|l| l.from < rows[first].from);
        // A comment with as many words as columns names them.
        (above.last().filter(|l| l.comment && l.cells.len() == width).copied(), first)
    };
    let mut columns: Vec<Column> = if let Some(header) = header {
        if first > 1 {
            let lines = so_many(first - 1, "line", "lines");
            remarks.push(format!("{lines} before the header left out"));
        }
        header.cells.iter().map(|cell| column(cell)).collect()
    } else {
        remarks.push("no header: columns are named by their place".to_owned());
        Vec::new()
    };
    columns.resize(columns.len().max(width), Column { name: String::new(), unit: None });
    let of_units = rows.get(first).filter(|row| header.is_some() && values(row) == 0);
    if let Some((units, _)) = of_units.and_then(|row| unit_row(&row.cells)) {
        remarks.push("the row under the header holds units".to_owned());
        for (column, unit) in columns.iter_mut().zip(units) {
            column.unit = column.unit.take().or(unit);
        }
        first += 1;
    }
    let header = header.map_or(Vec::new(), |line| line.cells.clone());
    let data: Vec<&Line> =
        rows[first..].iter().filter(|r| r.cells != header).copied().collect();
    let mut cells: Vec<Vec<String>> = data.iter().map(|row| row.cells.clone()).collect();
    // A separator behind every last cell makes a column of nothing.
    while columns.last().is_some_and(|c| c.name.is_empty() && c.unit.is_none())
        && cells.iter().all(|row| row.get(columns.len() - 1).is_none_or(String::is_empty))
        && columns.len() > 1
    {
        columns.pop();
    }
    name_apart(&mut columns);
    let mark = decimal_mark(&cells, syntax.separator);
    if mark == Mark::Comma {
        remarks.push("decimal mark: comma".to_owned());
    }
    let suffixes = suffixes(&cells, &mut columns, &mut remarks);
    for row in &mut cells {
        for (cell, unit) in row.iter_mut().zip(&suffixes) {
            if let Some(bare) =
                unit.as_ref().and_then(|unit| cell.strip_suffix(unit.as_str()))
            {
                *cell = bare.trim_end().to_owned();
            }
        }
    }
    let data_at =
        rows.get(first).map_or_else(|| lines.last().map_or(0, |l| l.next), |r| r.from);
    Some(Head { columns, header, suffixes, data_at, rows: cells, mark, remarks })
}

fn filled(line: &Line) -> usize {
    line.cells.iter().filter(|cell| !cell.is_empty()).count()
}

/// Cells of a row that hold words, those for no value left out.
fn words(line: &Line) -> usize {
    let word = |text: &&String| match cell(text, Mark::Unseen) {
        Cell::Words | Cell::Number(_) => !is_value(text),
        Cell::Empty | Cell::Infinite | Cell::Thousands => false,
    };
    line.cells.iter().filter(word).count()
}

/// Cells of a row that hold a number, a clock or a date.
fn values(line: &Line) -> usize {
    line.cells.iter().filter(|cell| is_value(cell)).count()
}

fn is_value(text: &str) -> bool {
    let number = match cell(text, Mark::Unseen) {
        // `no` may name a column.
        Cell::Number(_) => text.bytes().any(|b| b.is_ascii_digit()),
        Cell::Thousands | Cell::Infinite => true,
        Cell::Empty | Cell::Words => false,
    };
    number
        || moment(text, Order::DayFirst).is_some()
        || moment(text, Order::MonthFirst).is_some()
        || day_number(text, Order::DayFirst).is_some()
        || with_unit(text).is_some()
}

/// The number of cells that most rows have; of two, the larger one.
fn usual_width(rows: &[&Line]) -> Option<usize> {
    let widths: Vec<usize> =
        rows.iter().map(|row| row.cells.len()).filter(|w| *w > 1).collect();
    let often = |width: &usize| widths.iter().filter(|w| *w == width).count();
    widths.iter().copied().max_by_key(|width| (often(width), *width))
}

/// The row of names above the longest run of data.
fn label_above(rows: &[&Line], width: usize) -> Option<usize> {
    let names = |row: &Line| {
        values(row) == 0 && words(row) >= 2 && share(filled(row), width) >= NAMES
    };
    let mut labels: Vec<usize> = Vec::new();
    for at in 0..rows.len().min(LOOKED_AT) {
        let repeated = || labels.iter().any(|other| rows[*other].cells == rows[at].cells);
        if names(rows[at]) && !repeated() {
            labels.push(at);
        }
    }
    let ends = labels.iter().skip(1).copied().chain([rows.len()]);
    let data = |from: usize, to: usize| {
        rows[from + 1..to].iter().filter(|row| values(row) > 0).count()
    };
    let longest = labels
        .iter()
        .zip(ends)
        .enumerate()
        .max_by_key(|(at, (from, to))| (data(**from, *to), usize::MAX - at));
    let (at, (label, _)) = longest?;
    // A row of units has its header right above.
    let under =
        at > 0 && labels[at - 1] + 1 == *label && mostly_units(&rows[*label].cells);
    Some(if under { labels[at - 1] } else { *label })
}

fn mostly_units(cells: &[String]) -> bool {
    let filled = cells.iter().filter(|c| !c.is_empty() && *c != "-").count();
    unit_row(cells).is_some_and(|(_, known)| 2 * known >= filled)
}

/// The decimal mark that the cells show. A mark before three digits may stand for
/// thousands: it counts where nothing else is seen.
fn decimal_mark(rows: &[Vec<String>], separator: u8) -> Mark {
    let (mut sure, mut may) = ([0_usize; 2], [0_usize; 2]);
    for text in rows.iter().flatten() {
        for (at, mark) in ['.', ','].into_iter().enumerate() {
            let body = text.trim_end_matches(|c: char| !c.is_ascii_digit());
            let digits = body.strip_prefix('-').unwrap_or(body);
            let Some((before, after)) = digits.split_once(mark) else { continue };
            let whole = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
            if !whole(before) || !whole(after) || before.len() + after.len() == 0 {
                continue;
            }
            let count = if is_group(body, mark) { &mut may } else { &mut sure };
            count[at] += 1;
        }
    }
    match (sure, may) {
        ([0, 0], [0, 0]) if separator == b',' => Mark::Point,
        ([0, 0], [0, 0]) => Mark::Unseen,
        ([0, 0], [0, _]) if separator != b',' => Mark::Comma,
        ([point, comma], _) if comma > point => Mark::Comma,
        _ => Mark::Point,
    }
}

/// Units that the cells of a column carry behind their numbers: `12.5 V`.
fn suffixes(
    rows: &[Vec<String>],
    columns: &mut [Column],
    remarks: &mut Vec<String>,
) -> Vec<Option<String>> {
    let mut suffixes = vec![None; columns.len()];
    for (at, column) in columns.iter_mut().enumerate() {
        let cells =
            || rows.iter().filter_map(|row| row.get(at)).filter(|c| !c.is_empty());
        let Some(unit) = cells().find_map(|cell| with_unit(cell)) else { continue };
        let same = cells().filter(|cell| with_unit(cell).as_ref() == Some(&unit)).count();
        if share(same, cells().count()) >= SUFFIXED {
            remarks.push(format!(
                "the cells of `{}` carry their unit `{unit}`",
                column.name
            ));
            column.unit.get_or_insert_with(|| unit.clone());
            suffixes[at] = Some(unit);
        }
    }
    suffixes
}

/// The known unit behind a number.
pub(super) fn with_unit(text: &str) -> Option<String> {
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
    let body = text.strip_prefix(['-', '+']).unwrap_or(text);
    if !body.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let rest = body.trim_start_matches(digits);
    let unit = rest.trim();
    // Behind a blank a unit may begin with a digit, as 1/min does.
    let apart = rest.starts_with(' ') || !unit.starts_with(|c: char| c.is_ascii_digit());
    let plain = !unit.is_empty() && apart;
    (plain && Unit::parse(unit).is_ok()).then(|| unit.to_owned())
}
