//! Which assignments are worth comparing, with names.

use crate::{Assignment, AssignmentError, Board, Code, Finger, Hand, Modifier};

/// An assignment with a name for tables.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedAssignment {
    /// Such as `Meta-Alt-Control-Shift`.
    pub name: String,
    /// The assignment.
    pub assignment: Assignment,
}

/// The fingers that rest on keys, from the little finger inwards.
const RESTING: [Finger; 4] = [Finger::Little, Finger::Ring, Finger::Middle, Finger::Index];

/// All orders of four modifiers, in the order of the alphabet of their places.
fn permutations(modifiers: [Modifier; 4]) -> Vec<[Modifier; 4]> {
    let mut orders = Vec::with_capacity(24);
    for a in 0..4 {
        for b in (0..4).filter(|b| *b != a) {
            for c in (0..4).filter(|c| *c != a && *c != b) {
                orders.push([a, b, c, 6 - a - b - c].map(|at| modifiers[at]));
            }
        }
    }
    orders
}

fn order_name(order: [Modifier; 4]) -> String {
    order.map(Modifier::name).join("-")
}

impl NamedAssignment {
    /// The 24 mirrored orders of four different modifiers over the resting fingers: each finger gives the
    /// same modifier on both hands. The name tells them from the little finger to the index finger.
    pub fn mirrored_orders(board: &Board, modifiers: [Modifier; 4]) -> Vec<Self> {
        let named = |order| Self { name: order_name(order), assignment: Assignment::resting(board, order) };
        permutations(modifiers).into_iter().map(named).collect()
    }

    /// The 24 × 23 orders that differ between the hands; the name tells the left hand's and the right
    /// hand's, both from the little finger to the index finger.
    ///
    /// A shortcut then takes different fingers for targets of different hands. Among them are the 24 in which
    /// both hands have the same order from left to right, not from the little finger inwards.
    pub fn split_orders(board: &Board, modifiers: [Modifier; 4]) -> Vec<Self> {
        let orders = permutations(modifiers);
        let pairs = orders.iter().flat_map(|left| orders.iter().map(move |right| (*left, *right)));
        pairs
            .filter(|(left, right)| left != right)
            .map(|(left, right)| {
                let name = format!("{} | {}", order_name(left), order_name(right));
                Self { name, assignment: resting(board, |hand| if hand == Hand::Left { left } else { right }) }
            })
            .collect()
    }

    /// One hand's resting fingers only; the other hand's keys keep one role.
    pub fn one_handed(board: &Board, hand: Hand, order: [Modifier; 4]) -> Self {
        let side = if hand == Hand::Left { "left" } else { "right" };
        let both = Assignment::resting(board, order);
        let mut assignment = Assignment::none_on(board);
        for (code, modifier) in both.iter().filter(|(code, _)| hand_of(board, *code) == Some(hand)) {
            assignment.assign(board, code, modifier).expect("resting keys write");
        }
        Self { name: format!("{} {side} only", order_name(order)), assignment }
    }

    /// The same assignment with more keys that have two roles: thumbs, or others the fingers do not rest on.
    /// The name tells them, such as `Meta-Alt-Control-Shift, Space Layer`.
    ///
    /// # Errors
    /// The board lacks a key, or a key writes nothing.
    pub fn with_keys(mut self, board: &Board, keys: &[(Code, Modifier)]) -> Result<Self, AssignmentError> {
        for &(code, modifier) in keys {
            self.assignment.assign(board, code, modifier)?;
            self.name.push_str(&format!(", {code} {}", modifier.name()));
        }
        Ok(self)
    }

    /// For each key that writes and no finger rests on: that key alone with the held role `modifier`, beside
    /// this assignment. In table order.
    pub fn with_each_other_key(&self, board: &Board, modifier: Modifier) -> Vec<Self> {
        let other =
            |code: &Code| board.letters().writes(*code) && board.place(*code).is_some_and(|place| !place.resting);
        let add = |code| self.clone().with_keys(board, &[(code, modifier)]).expect("it is on the board and writes");
        Code::all().filter(other).map(add).collect()
    }
}

fn hand_of(board: &Board, code: Code) -> Option<Hand> {
    board.place(code).map(|place| place.hand)
}

/// Resting keys with an order for each hand.
fn resting(board: &Board, order: impl Fn(Hand) -> [Modifier; 4]) -> Assignment {
    let mut assignment = Assignment::none_on(board);
    for code in board.resting_keys() {
        let place = board.place(code).expect("resting keys are on every board");
        if let Some(at) = RESTING.iter().position(|finger| *finger == place.finger) {
            assignment.assign(board, code, order(place.hand)[at]).expect("resting keys write");
        }
    }
    assignment
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    const FOUR: [Modifier; 4] = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];

    fn distinct(all: &[NamedAssignment]) -> usize {
        let roles = |named: &NamedAssignment| named.assignment.iter().collect::<Vec<_>>();
        let names: BTreeSet<&str> = all.iter().map(|named| named.name.as_str()).collect();
        let assignments: BTreeSet<_> = all.iter().map(roles).collect();
        assert_eq!(names.len(), assignments.len());
        names.len()
    }

    #[test]
    fn orders_are_all_there_and_none_comes_twice() {
        let board = Board::row_staggered();
        let mirrored = NamedAssignment::mirrored_orders(&board, FOUR);
        assert_eq!((mirrored.len(), distinct(&mirrored)), (24, 24));
        assert_eq!(mirrored[0].name, "Meta-Alt-Control-Shift");
        assert_eq!(mirrored[0].assignment, Assignment::resting(&board, FOUR));
        let split = NamedAssignment::split_orders(&board, FOUR);
        assert_eq!((split.len(), distinct(&split)), (552, 552));
        assert!(split.iter().all(|named| named.assignment.iter().count() == 8));
        let layers = NamedAssignment::mirrored_orders(&board, [Modifier::Layer, FOUR[1], FOUR[2], FOUR[3]]);
        assert!(layers.iter().all(|named| named.assignment.iter().any(|(_, modifier)| modifier == Modifier::Layer)));
    }

    #[test]
    fn one_hand_and_other_keys() {
        let board = Board::row_staggered();
        let left = NamedAssignment::one_handed(&board, Hand::Left, FOUR);
        assert_eq!((left.name.as_str(), left.assignment.iter().count()), ("Meta-Alt-Control-Shift left only", 4));
        let more = left.clone().with_keys(&board, &[(Code::SPACE, Modifier::Layer)]).unwrap();
        assert_eq!(more.name, "Meta-Alt-Control-Shift left only, Space Layer");
        assert_eq!(more.assignment.modifier(Code::SPACE), Some(Modifier::Layer));
        assert!(left.clone().with_keys(&board, &[("Escape".parse().unwrap(), Modifier::Layer)]).is_err());
        let others = left.with_each_other_key(&board, Modifier::Layer);
        assert_eq!(others.len(), Code::all().filter(|code| code.character(false).is_some()).count() - 8);
        assert_eq!(distinct(&others), others.len());
    }
}
