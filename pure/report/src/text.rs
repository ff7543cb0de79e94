//! A page as plain text for a terminal of a given width.

use pages::{Align, Block, Drawing, List, Mark, Page, Pair, Row, Table, Words};

/// The least width that text is wrapped to.
pub const LEAST_WIDTH: usize = 24;

/// The page as text, lines at most `width` columns wide (at least [`LEAST_WIDTH`]).
/// Ends with a line end.
#[must_use]
pub fn text(page: &Page, width: usize) -> String {
    let width = width.max(LEAST_WIDTH);
    let mut paper = Paper { width, lines: Vec::new() };
    paper.wrapped("", "", page.title.as_str());
    let rule = paper.lines.iter().map(|line| columns(line)).max().unwrap_or(0);
    paper.lines.push("=".repeat(rule.max(3)));
    for block in &page.blocks {
        paper.block(block);
    }
    let mut out = paper.lines.join("\n");
    out.push('\n');
    out
}

/// How many columns a text takes in a terminal: marks that combine take none, the wide
/// forms of East Asia and pictures two (a short form of Unicode UAX 11).
#[must_use]
pub fn columns(text: &str) -> usize {
    text.chars()
        .map(|c| match u32::from(c) {
            0x300..=0x36f | 0x200b..=0x200d | 0xfe00..=0xfe0f | 0x20d0..=0x20ff => 0,
            0x1100..=0x115f
            | 0x2e80..=0xa4cf
            | 0xac00..=0xd7a3
            | 0xf900..=0xfaff
            | 0xfe30..=0xfe6f
            | 0xff00..=0xff60
            | 0xffe0..=0xffe6
            | 0x1_f300..=0x1_faff
            | 0x2_0000..=0x3_fffd => 2,
            _ => 1,
        })
        .sum()
}

/// Breaks a text at spaces into lines of at most `width` columns, longer words anywhere.
fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let words = text.split(' ').filter(|word| !word.is_empty());
    for word in words.flat_map(|word| pieces(word, width)) {
        let needed = columns(&line) + usize::from(!line.is_empty()) + columns(word);
        if !line.is_empty() && needed > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// A word in pieces of at most `width` columns.
fn pieces(word: &str, width: usize) -> Vec<&str> {
    let mut pieces = Vec::new();
    let (mut start, mut used) = (0, 0);
    for (at, c) in word.char_indices() {
        let size = columns(c.encode_utf8(&mut [0; 4]));
        if used > 0 && used + size > width {
            pieces.push(&word[start..at]);
            (start, used) = (at, 0);
        }
        used += size;
    }
    pieces.push(&word[start..]);
    pieces
}

struct Paper {
    width: usize,
    lines: Vec<String>,
}

impl Paper {
    fn block(&mut self, block: &Block) {
        self.lines.push(String::new());
        match block {
            Block::Heading(words) => {
                self.wrapped("", "", words.as_str());
                let rule = self.lines.last().map_or(0, |line| columns(line));
                self.lines.push("-".repeat(rule.max(3)));
            }
            Block::Subheading(words) => self.wrapped("", "", &format!("{words}:")),
            Block::Lead(words) => self.wrapped("> ", "  ", words.as_str()),
            Block::Paragraph(words) | Block::Quiet(words) => {
                self.wrapped("", "", words.as_str());
            }
            Block::Stop(words) => self.wrapped("!!! ", "!!! ", words.as_str()),
            Block::Facts(pairs) | Block::Head(pairs) => self.pairs(pairs),
            Block::Table(table) => self.table(table),
            Block::List(list) => self.list(list),
            Block::Caution(caution) => {
                let text = format!("CAUTION {}: {}", caution.word, caution.text);
                self.wrapped("! ", "  ", &text);
            }
            Block::Choices(choices) => {
                let pairs = choices
                    .iter()
                    .map(|choice| Pair {
                        label: choice.id.clone(),
                        value: if choice.hint.is_empty() {
                            choice.text.clone()
                        } else {
                            Words::from(format!("{} → {}", choice.text, choice.hint))
                        },
                    })
                    .collect::<Vec<_>>();
                self.pairs(&pairs);
            }
            Block::Drawing(drawing) => self.drawing(drawing),
            Block::Photo(photo) => {
                let labels: Vec<&str> =
                    photo.marks.iter().map(|mark| mark.label.as_str()).collect();
                let marked = if labels.is_empty() {
                    String::new()
                } else {
                    format!(", marked: {}", labels.join(", "))
                };
                self.wrapped("[", " ", &format!("photo: {}{marked}]", photo.caption));
            }
            Block::Sign(labels) => {
                for label in labels {
                    self.wrapped("", "", &format!("{label}: ______________________"));
                }
            }
            Block::Break => self.lines.push("~".repeat(self.width.min(20))),
        }
    }

    /// A drawing as its lines where they fit, else in words.
    fn drawing(&mut self, drawing: &Drawing) {
        let fits = |(indent, line): &(usize, Words)| {
            indent + columns(line.as_str()) <= self.width
        };
        if drawing.lines.is_empty() || !drawing.lines.iter().all(fits) {
            self.wrapped("[", " ", &format!("{}]", drawing.summary));
            return;
        }
        for (indent, line) in &drawing.lines {
            self.lines.push(format!("{}{line}", " ".repeat(*indent)));
        }
    }

    fn wrapped(&mut self, first: &str, next: &str, text: &str) {
        let room = self.width.saturating_sub(columns(first)).max(8);
        for (at, line) in wrap(text, room).into_iter().enumerate() {
            let lead = if at == 0 { first } else { next };
            self.lines.push(format!("{lead}{line}").trim_end().to_owned());
        }
    }

    fn pairs(&mut self, pairs: &[Pair]) {
        let half = self.width.div_ceil(2);
        let label_width = pairs
            .iter()
            .map(|pair| columns(pair.label.as_str()))
            .max()
            .unwrap_or(0)
            .min(half);
        let next = " ".repeat(label_width + 2);
        for pair in pairs {
            let label = pair.label.as_str();
            if columns(label) > label_width {
                self.wrapped("", "", label);
                self.wrapped(&next, &next, pair.value.as_str());
            } else {
                let first = format!("{label}{}  ", blanks(label, label_width));
                self.wrapped(&first, &next, pair.value.as_str());
            }
        }
    }

    fn list(&mut self, list: &List) {
        let digits = list.entries.len().to_string().len();
        for (at, entry) in list.entries.iter().enumerate() {
            let lead = if list.ordered {
                format!("{:>digits$}. ", at + 1)
            } else if entry.mark == Mark::None {
                "- ".to_owned()
            } else {
                String::new()
            };
            let first = format!("{lead}{}", stripe(entry.mark));
            let next = " ".repeat(columns(&first));
            self.wrapped(&first, &next, entry.text.as_str());
        }
    }

    fn table(&mut self, table: &Table) {
        let ticked = table.rows.iter().any(|row| !stripe(row.mark).is_empty());
        let lead = if ticked { 4 } else { 0 };
        let Some(widths) = share(table, self.width.saturating_sub(lead)) else {
            return self.narrow_table(table);
        };
        let headings: Vec<&Words> = table.columns.iter().map(|c| &c.heading).collect();
        self.row(table, &widths, &headings, &" ".repeat(lead));
        let total =
            widths.iter().sum::<usize>() + 2 * widths.len().saturating_sub(1) + lead;
        self.lines.push("-".repeat(total));
        for Row { cells, mark } in &table.rows {
            if *mark == Mark::Sum {
                self.lines.push("-".repeat(total));
            }
            let cells: Vec<&Words> = cells.iter().collect();
            let mark = format!("{:lead$}", stripe(*mark));
            self.row(table, &widths, &cells, &mark);
        }
    }

    /// A table that does not fit side by side: each row as labels and values.
    fn narrow_table(&mut self, table: &Table) {
        for (at, row) in table.rows.iter().enumerate() {
            if at > 0 {
                self.lines.push(String::new());
            }
            let mark = stripe(row.mark).trim_end();
            if !mark.is_empty() {
                self.lines.push(mark.to_owned());
            }
            let pairs: Vec<Pair> = table
                .columns
                .iter()
                .zip(&row.cells)
                .filter(|(_, cell)| !cell.is_empty())
                .map(|(column, cell)| Pair {
                    label: column.heading.clone(),
                    value: cell.clone(),
                })
                .collect();
            self.pairs(&pairs);
        }
    }

    /// One row; its cells wrapped side by side.
    fn row(&mut self, table: &Table, widths: &[usize], cells: &[&Words], mark: &str) {
        let wrapped: Vec<Vec<String>> = widths
            .iter()
            .enumerate()
            .map(|(at, width)| wrap(cells.get(at).map_or("", |c| c.as_str()), *width))
            .collect();
        let deep = wrapped.iter().map(Vec::len).max().unwrap_or(0);
        for level in 0..deep {
            let mut line =
                if level == 0 { mark.to_owned() } else { " ".repeat(columns(mark)) };
            for (at, width) in widths.iter().enumerate() {
                if at > 0 {
                    line.push_str("  ");
                }
                let cell =
                    wrapped.get(at).and_then(|c| c.get(level)).map_or("", |c| c.as_str());
                let blank = blanks(cell, *width);
                match table.columns.get(at).map(|column| column.align) {
                    Some(Align::Right) => {
                        line.push_str(&blank);
                        line.push_str(cell);
                    }
                    Some(Align::Left) | None => {
                        line.push_str(cell);
                        line.push_str(&blank);
                    }
                }
            }
            self.lines.push(line.trim_end().to_owned());
        }
    }
}

fn blanks(text: &str, width: usize) -> String {
    " ".repeat(width.saturating_sub(columns(text)))
}

/// What stands before an entry: the paint stripe, an empty box, or nothing.
fn stripe(mark: Mark) -> &'static str {
    match mark {
        Mark::Done => "[/] ",
        Mark::Open => "[ ] ",
        Mark::None | Mark::Sum => "",
    }
}

/// Column widths: as wide as the widest cell; where that is too much, the widest columns
/// give way, one column at a time, down to their longest word or a third of the width.
/// `None`: they do not fit side by side.
fn share(table: &Table, width: usize) -> Option<Vec<usize>> {
    let cells = |at: usize| {
        let heading = table.columns.get(at).map(|column| &column.heading);
        heading
            .into_iter()
            .chain(table.rows.iter().filter_map(move |row| row.cells.get(at)))
    };
    let count = table.columns.len();
    let mut widths: Vec<usize> = (0..count)
        .map(|at| {
            cells(at).map(|cell| columns(cell.as_str())).max().unwrap_or(0).min(width)
        })
        .collect();
    let least: Vec<usize> = (0..count)
        .map(|at| {
            let longest = cells(at)
                .flat_map(|cell| cell.as_str().split(' '))
                .map(columns)
                .max()
                .unwrap_or(0);
            longest
                .min(widths.get(at).copied().unwrap_or(0))
                .min(width.div_ceil(3).max(8))
        })
        .collect();
    let room = width.saturating_sub(2 * count.saturating_sub(1));
    while widths.iter().sum::<usize>() > room {
        let widest = (0..count)
            .filter(|at| widths.get(*at) > least.get(*at))
            .max_by_key(|at| widths.get(*at).copied().unwrap_or(0));
        let cut = widest.and_then(|at| widths.get_mut(at))?;
        *cut -= 1;
    }
    Some(widths)
}
