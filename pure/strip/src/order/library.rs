//! Instances in the form of the public library: TSPLIB 95 (G. Reinelt, Universität
//! Heidelberg), class SOP, full matrix.

use std::fmt;

use super::problem::{OrderError, Problem};

/// The section with the matrix.
const SECTION: &str = "EDGE_WEIGHT_SECTION";

/// Why a text is no instance.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum InstanceError {
    /// A line of the head that says something else than is read here.
    Head {
        /// The line, from 1.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// There is no matrix.
    NoMatrix,
    /// A word of the matrix that is no whole number, or below −1.
    Number {
        /// The line, from 1.
        line: usize,
        /// The word.
        word: String,
    },
    /// A matrix with too few or too many numbers.
    Count {
        /// Numbers that there should be.
        wanted: usize,
        /// Numbers that there are.
        found: usize,
    },
    /// A problem that cannot be ordered.
    Order(OrderError),
}

impl fmt::Display for InstanceError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Head { what, .. } => out.write_str(what),
            Self::NoMatrix => {
                write!(out, "there is no `{SECTION}`: the costs belong there")
            }
            Self::Number { word, .. } => write!(
                out,
                "`{word}` is no cost: write a whole number, or -1 where the column comes \
                 before the row"
            ),
            Self::Count { wanted, found } => write!(
                out,
                "{wanted} costs make this matrix full, not {found}: give every row one cost \
                 a node"
            ),
            Self::Order(error) => error.fmt(out),
        }
    }
}

impl std::error::Error for InstanceError {}

impl InstanceError {
    /// The line that it is about, from 1.
    #[must_use]
    pub fn line(&self) -> Option<usize> {
        match self {
            Self::Head { line, .. } | Self::Number { line, .. } => Some(*line),
            Self::NoMatrix | Self::Count { .. } | Self::Order(_) => None,
        }
    }
}

/// An instance with its name.
#[derive(Debug, Clone)]
pub struct Instance {
    /// `NAME` of its head; empty where there is none.
    pub name: String,
    /// What is to be ordered: from the first node to the last.
    pub problem: Problem,
}

/// Reads an instance: −1 in row i, column j says that j comes before i; the order begins with
/// the first node and ends with the last.
///
/// # Errors
/// Another class or form, a word that is no cost, a matrix that is not full, more than 128
/// nodes, nodes that wait for each other.
///
/// ```
/// use strip::order::{Budget, read_instance, solve};
///
/// let text = "NAME: three\nTYPE: SOP\nEDGE_WEIGHT_SECTION\n3\n0 5 9\n-1 0 2\n-1 -1 0\nEOF\n";
/// let order = solve(&read_instance(text)?.problem, &Budget::USUAL);
/// assert_eq!((order.nodes, order.cost), (vec![0, 1, 2], 7));
/// # Ok::<(), strip::order::InstanceError>(())
/// ```
pub fn read_instance(text: &str) -> Result<Instance, InstanceError> {
    let mut lines = (1_usize..).zip(text.lines());
    let mut name = String::new();
    let mut found = false;
    for (line, words) in lines.by_ref() {
        if words.trim() == SECTION {
            found = true;
            break;
        }
        let (key, value) = words.split_once(':').unwrap_or((words, ""));
        let value = value.trim();
        match key.trim() {
            "NAME" => value.clone_into(&mut name),
            "TYPE" => only(line, ("TYPE", value), "SOP")?,
            "EDGE_WEIGHT_TYPE" => only(line, ("EDGE_WEIGHT_TYPE", value), "EXPLICIT")?,
            "EDGE_WEIGHT_FORMAT" => {
                only(line, ("EDGE_WEIGHT_FORMAT", value), "FULL_MATRIX")?;
            }
            _ => {}
        }
    }
    if !found {
        return Err(InstanceError::NoMatrix);
    }
    let mut numbers: Vec<i64> = Vec::new();
    for (line, words) in lines.take_while(|(_, words)| words.trim() != "EOF") {
        for word in words.split_whitespace() {
            match word.parse::<i64>() {
                Ok(number) if number >= -1 => numbers.push(number),
                Ok(_) | Err(_) => {
                    let word = word.chars().take(40).collect();
                    return Err(InstanceError::Number { line, word });
                }
            }
        }
    }
    let problem = problem(&numbers)?;
    Ok(Instance { name, problem })
}

fn only(line: usize, (key, is): (&str, &str), wanted: &str) -> Result<(), InstanceError> {
    if is == wanted {
        return Ok(());
    }
    let is: String = is.chars().take(40).collect();
    let what = format!("`{key}` is `{is}`: only `{wanted}` is read");
    Err(InstanceError::Head { line, what })
}

/// The number of nodes and then the rows.
fn problem(numbers: &[i64]) -> Result<Problem, InstanceError> {
    let (count, costs) = numbers.split_first().ok_or(InstanceError::NoMatrix)?;
    let count = usize::try_from(*count).unwrap_or(0);
    if count > super::problem::MOST_NODES {
        return Err(InstanceError::Order(OrderError::TooMany(count)));
    }
    if costs.len() != count * count || count == 0 {
        let (wanted, found) = (count * count, costs.len());
        return Err(InstanceError::Count { wanted, found });
    }
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    for (later, row) in costs.chunks(count).enumerate() {
        let first = row.iter().enumerate().filter(|(_, cost)| **cost < 0);
        pairs.extend(first.map(|(first, _)| (first, later)));
    }
    pairs.extend((1..count).map(|later| (0, later)));
    pairs.extend((0..count - 1).map(|first| (first, count - 1)));
    let rows = costs.chunks(count);
    let rows = rows.map(|row| row.iter().map(|cost| (*cost).max(0)).collect()).collect();
    Problem::from_matrix(rows, vec![0; count], &pairs).map_err(InstanceError::Order)
}
