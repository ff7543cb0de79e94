//! What is to be ordered: nodes, the cost from one to the next, and what comes before what.

use std::fmt;

/// Most nodes of a problem: one bit each in a `u128`.
pub(super) const MOST_NODES: usize = 128;
/// Costs up to here sum over a path without overflow.
const MOST_COST: i64 = 1_000_000_000_000_000;

/// Why a problem cannot be ordered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OrderError {
    /// More than 128 nodes.
    TooMany(usize),
    /// A row, a class list or a precedence that does not fit the number of nodes.
    Misfit,
    /// A cost below 0 or above 10^15.
    Cost(i64),
    /// These nodes wait for each other.
    Circle(Vec<usize>),
}

impl fmt::Display for OrderError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooMany(count) => {
                write!(out, "{count} nodes to order: at most {MOST_NODES} are possible")
            }
            Self::Misfit => out.write_str(
                "a list does not fit the number of nodes: give one entry a node",
            ),
            Self::Cost(cost) => {
                write!(
                    out,
                    "the cost {cost} is outside 0 to {MOST_COST}: scale the costs"
                )
            }
            Self::Circle(nodes) => {
                write!(out, "the nodes {nodes:?} wait for each other: break the circle")
            }
        }
    }
}

impl std::error::Error for OrderError {}

/// One thing that changes between nodes: moving between two classes costs `cost`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changes {
    /// What a change costs.
    pub cost: i64,
    /// The class of each node.
    pub class: Vec<usize>,
}

/// Nodes with the cost from each to each and what has to come before what.
#[derive(Debug, Clone)]
pub struct Problem {
    costs: Vec<Vec<i64>>,
    start: Vec<i64>,
    before: Vec<u128>,
    layers: Vec<Changes>,
}

impl Problem {
    /// A full cost matrix, the cost to start at each node, and pairs (first, later).
    ///
    /// # Errors
    /// Too many nodes, lists that don't fit, costs out of range, a circle.
    pub fn from_matrix(
        costs: Vec<Vec<i64>>,
        start: Vec<i64>,
        pairs: &[(usize, usize)],
    ) -> Result<Self, OrderError> {
        if costs.iter().any(|row| row.len() != costs.len()) || start.len() != costs.len()
        {
            return Err(OrderError::Misfit);
        }
        let every = costs.iter().flatten().chain(&start);
        if let Some(&bad) = every.into_iter().find(|cost| !(0..=MOST_COST).contains(cost))
        {
            return Err(OrderError::Cost(bad));
        }
        let before = closed_pairs(start.len(), pairs)?;
        Ok(Self { costs, start, before, layers: Vec::new() })
    }

    /// Costs that are a sum of changes (of position, of tool …); starting costs nothing.
    ///
    /// # Errors
    /// As [`Problem::from_matrix`].
    pub fn from_changes(
        count: usize,
        layers: Vec<Changes>,
        pairs: &[(usize, usize)],
    ) -> Result<Self, OrderError> {
        if layers.iter().any(|layer| layer.class.len() != count) {
            return Err(OrderError::Misfit);
        }
        if let Some(bad) = layers.iter().find(|l| !(0..=MOST_COST).contains(&l.cost)) {
            return Err(OrderError::Cost(bad.cost));
        }
        let before = closed_pairs(count, pairs)?;
        let cost = |from: usize, to: usize| {
            let differ =
                layers.iter().filter(|layer| layer.class[from] != layer.class[to]);
            differ.map(|layer| layer.cost).sum()
        };
        let costs = (0..count)
            .map(|from| (0..count).map(|to| cost(from, to)).collect())
            .collect();
        let layers = layers.into_iter().filter(|layer| layer.cost > 0).collect();
        Ok(Self { costs, start: vec![0; count], before, layers })
    }

    /// How many nodes.
    #[must_use]
    pub fn len(&self) -> usize {
        self.start.len()
    }

    /// Whether there is nothing to order.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.start.is_empty()
    }

    /// Cost from one node to the next.
    #[must_use]
    pub fn cost(&self, from: usize, to: usize) -> i64 {
        self.costs[from][to]
    }

    /// Cost to start at a node.
    #[must_use]
    pub fn start(&self, node: usize) -> i64 {
        self.start[node]
    }

    /// Everything that has to come before a node, all the way, one bit a node.
    #[must_use]
    pub fn before(&self, node: usize) -> u128 {
        self.before[node]
    }

    /// Everything that has to come after a node, all the way, one bit a node.
    pub(super) fn after(&self, node: usize) -> u128 {
        let later = (0..self.len()).filter(|&other| self.before[other] >> node & 1 == 1);
        later.fold(0, |mask, other| mask | 1 << other)
    }

    /// What an order costs, start included.
    pub(super) fn length(&self, order: &[usize]) -> i64 {
        let start = order.first().map_or(0, |&node| self.start(node));
        order.windows(2).fold(start, |sum, pair| sum + self.cost(pair[0], pair[1]))
    }

    /// The same nodes with one kind of change alone, each counted as one.
    pub(super) fn one_layer(&self, layer: usize) -> Self {
        let class = self.layers[layer].class.clone();
        let cost = |from: usize, to: usize| i64::from(class[from] != class[to]);
        let nodes = 0..self.len();
        Self {
            costs: nodes
                .clone()
                .map(|i| nodes.clone().map(|j| cost(i, j)).collect())
                .collect(),
            start: self.start.clone(),
            before: self.before.clone(),
            layers: vec![Changes { cost: 1, class }],
        }
    }

    /// The changes that the costs are made of; none where they came as a matrix.
    pub(super) fn layers(&self) -> &[Changes] {
        &self.layers
    }
}

/// What comes before each node, all the way; an error where nodes wait for each other.
fn closed_pairs(count: usize, pairs: &[(usize, usize)]) -> Result<Vec<u128>, OrderError> {
    if count > MOST_NODES {
        return Err(OrderError::TooMany(count));
    }
    if pairs.iter().any(|&(first, later)| first >= count || later >= count) {
        return Err(OrderError::Misfit);
    }
    let mut direct = vec![0_u128; count];
    for &(first, later) in pairs {
        direct[later] |= 1 << first;
    }
    let mut before = vec![0_u128; count];
    let mut placed = 0_u128;
    loop {
        let ready: Vec<usize> = (0..count)
            .filter(|&node| placed >> node & 1 == 0 && direct[node] & !placed == 0)
            .collect();
        if ready.is_empty() {
            break;
        }
        for node in ready {
            before[node] = (0..count)
                .filter(|&first| direct[node] >> first & 1 == 1)
                .fold(direct[node], |all, first| all | before[first]);
            placed |= 1 << node;
        }
    }
    let stuck: Vec<usize> = (0..count).filter(|&node| placed >> node & 1 == 0).collect();
    if stuck.is_empty() { Ok(before) } else { Err(OrderError::Circle(stuck)) }
}
