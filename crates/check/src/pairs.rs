//! Things of two states brought together by name.

use std::collections::{BTreeMap, VecDeque};

/// Each thing after the change with the one of the same name before it; then those that are gone.
///
/// Of several with one name the first is taken with the first.
pub(crate) fn pairs<'a, T, K: Ord>(
    before: &'a [T],
    after: &'a [T],
    name: impl Fn(&'a T) -> K,
) -> Vec<(Option<&'a T>, Option<&'a T>)> {
    let mut named: BTreeMap<K, VecDeque<usize>> = BTreeMap::new();
    for (i, thing) in before.iter().enumerate() {
        named.entry(name(thing)).or_default().push_back(i);
    }
    let mut met = vec![false; before.len()];
    let mut found = Vec::new();
    for thing in after {
        let own = named.get_mut(&name(thing)).and_then(VecDeque::pop_front);
        if let Some(i) = own {
            met[i] = true;
        }
        found.push((own.map(|i| &before[i]), Some(thing)));
    }
    let gone = before.iter().zip(met).filter(|(_, met)| !met);
    found.extend(gone.map(|(thing, _)| (Some(thing), None)));
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_of_a_name_goes_with_the_first() {
        let (before, after) = (["a", "b", "a", "c"], ["a", "c", "d", "a", "a"]);
        let found: Vec<(Option<&str>, Option<&str>)> = pairs(&before, &after, |own| *own)
            .into_iter()
            .map(|(a, b)| (a.copied(), b.copied()))
            .collect();
        let same = |own| (Some(own), Some(own));
        assert_eq!(
            found,
            [
                same("a"),
                same("c"),
                (None, Some("d")),
                same("a"),
                (None, Some("a")),
                (Some("b"), None)
            ]
        );
    }
}
