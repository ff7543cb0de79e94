//! Circles in what lies behind what, and closures where there are none.

use crate::{ItemIx, ItemSet};

/// A circle: each place leads to the next, and the last to the first.
pub(crate) fn circle(leads_to: &[Vec<usize>]) -> Option<Vec<usize>> {
    let mut finished = vec![false; leads_to.len()];
    for start in 0..leads_to.len() {
        let mut path: Vec<usize> = Vec::new();
        let mut tried: Vec<usize> = Vec::new();
        let mut next = (!finished[start]).then_some(start);
        loop {
            if let Some(place) = next.take() {
                path.push(place);
                tried.push(0);
            }
            let (Some(&place), Some(count)) = (path.last(), tried.last_mut()) else {
                break;
            };
            let Some(&to) = leads_to[place].get(*count) else {
                finished[place] = true;
                path.pop();
                tried.pop();
                continue;
            };
            *count += 1;
            if let Some(from) = path.iter().position(|on_path| *on_path == to) {
                return Some(path.split_off(from));
            }
            next = (!finished[to]).then_some(to);
        }
    }
    None
}

/// Each place with all that it leads to, all the way; no circles.
pub(crate) fn closures(leads_to: &[Vec<usize>]) -> Vec<ItemSet> {
    let own = |place: usize| ItemSet::one(ItemIx::from(place));
    let mut closed: Vec<ItemSet> = (0..leads_to.len()).map(own).collect();
    loop {
        let mut grew = false;
        for (place, nexts) in leads_to.iter().enumerate() {
            let wide =
                nexts.iter().fold(closed[place], |set, next| set.union(closed[*next]));
            grew |= wide != closed[place];
            closed[place] = wide;
        }
        if !grew {
            return closed;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{circle, closures};

    #[test]
    fn finds_a_circle_and_closes_what_has_none() {
        assert_eq!(circle(&[vec![1], vec![2], vec![1]]), Some(vec![1, 2]));
        assert_eq!(circle(&[vec![0]]), Some(vec![0]));
        let diamond = [vec![1, 2], vec![3], vec![3], vec![]];
        assert_eq!(circle(&diamond), None);
        let sizes: Vec<usize> = closures(&diamond).iter().map(|set| set.len()).collect();
        assert_eq!(sizes, [4, 2, 2, 1]);
    }

    #[test]
    fn a_long_chain_is_no_problem() {
        let chain: Vec<Vec<usize>> =
            (0..128).map(|at| if at < 127 { vec![at + 1] } else { vec![] }).collect();
        assert_eq!(circle(&chain), None);
        assert_eq!(closures(&chain)[0].len(), 128);
    }
}
