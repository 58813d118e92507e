//! The outer boundary of curves that meet in more than twos.

use crate::join::Link;
use geom::Segment;
use geom::math::{TAU, sin};
use std::collections::BTreeMap;

/// The links that go round the outside of a connected run, in order of travel, and the rest.
///
/// Dangling ends are cut off first. Where more than two curves meet, the run is a plane map: its
/// faces are walked by turning as sharply as possible, and the one that is walked clockwise is the
/// outside.
pub(crate) fn outer_loop(links: &[Link]) -> (Vec<Link>, Vec<Link>) {
    let mut on = vec![true; links.len()];
    prune(links, &mut on);
    let halves = half_links(links, &on);
    let mut next_of: BTreeMap<(usize, bool), (usize, bool)> = BTreeMap::new();
    for round in halves.values() {
        for (i, &(link, forward)) in round.iter().enumerate() {
            // Coming in along the reverse of this half, go out by the next one clockwise.
            let before = round[(i + round.len() - 1) % round.len()];
            next_of.insert((link, !forward), before);
        }
    }
    let outside = walk_outside(links, &next_of);
    let mut used = vec![false; links.len()];
    let loop_links = outside
        .iter()
        .map(|&(link, forward)| {
            used[link] = true;
            turned(&links[link], forward)
        })
        .collect();
    let rest = links
        .iter()
        .zip(&used)
        .filter(|(_, used)| !**used)
        .map(|(link, _)| *link)
        .collect();
    (loop_links, rest)
}

/// Takes off links with a loose end until none is left.
fn prune(links: &[Link], on: &mut [bool]) {
    let mut at_node: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (i, link) in links.iter().enumerate() {
        at_node.entry(link.from).or_default().push(i);
        at_node.entry(link.to).or_default().push(i);
    }
    let mut degree: BTreeMap<usize, usize> = at_node.iter().map(|(&n, l)| (n, l.len())).collect();
    let mut loose: Vec<usize> = degree
        .iter()
        .filter(|(_, d)| **d == 1)
        .map(|(&n, _)| n)
        .collect();
    while let Some(node) = loose.pop() {
        let Some(&link) = at_node[&node].iter().find(|&&link| on[link]) else {
            continue;
        };
        on[link] = false;
        for end in [links[link].from, links[link].to] {
            if let Some(d) = degree.get_mut(&end) {
                *d -= 1;
                if *d == 1 {
                    loose.push(end);
                }
            }
        }
    }
}

/// Half-links out of each node, anticlockwise by direction.
fn half_links(links: &[Link], on: &[bool]) -> BTreeMap<usize, Vec<(usize, bool)>> {
    let mut at_node: BTreeMap<usize, Vec<(f64, f64, usize, bool)>> = BTreeMap::new();
    for (i, link) in links.iter().enumerate().filter(|(i, _)| on[*i]) {
        for (node, forward) in [(link.from, true), (link.to, false)] {
            let way = turned(link, forward).segment;
            let curvature = match way {
                Segment::Line { .. } => 0.0,
                Segment::Arc(arc) => arc.sweep.signum() / arc.radius,
            };
            // Rounded, so that tangent curves are told apart by their curvature.
            let heading = (way.tangent_angle_at(0.0).rem_euclid(TAU) * 1e5)
                .round()
                .rem_euclid((TAU * 1e5).round());
            at_node
                .entry(node)
                .or_default()
                .push((heading, curvature, i, forward));
        }
    }
    at_node
        .into_iter()
        .map(|(node, mut round)| {
            round.sort_by(|a, b| {
                a.0.total_cmp(&b.0)
                    .then(a.1.total_cmp(&b.1))
                    .then(a.2.cmp(&b.2))
            });
            (
                node,
                round
                    .into_iter()
                    .map(|(_, _, link, forward)| (link, forward))
                    .collect(),
            )
        })
        .collect()
}

/// The face walked with the greatest clockwise area.
fn walk_outside(
    links: &[Link],
    next_of: &BTreeMap<(usize, bool), (usize, bool)>,
) -> Vec<(usize, bool)> {
    let mut seen = std::collections::BTreeSet::new();
    let mut best: (f64, Vec<(usize, bool)>) = (0.0, Vec::new());
    for &start in next_of.keys() {
        if seen.contains(&start) {
            continue;
        }
        let mut face = Vec::new();
        let mut at = start;
        while seen.insert(at) {
            face.push(at);
            match next_of.get(&at) {
                Some(&next) => at = next,
                None => break,
            }
        }
        let area: f64 = face
            .iter()
            .map(|&(l, forward)| area_left_of(&turned(&links[l], forward).segment))
            .sum();
        if area < best.0 {
            best = (area, face);
        }
    }
    // A bridge between two closed parts is walked both ways; it is no part of the outline.
    let face = best.1;
    let both: std::collections::BTreeSet<_> = face.iter().copied().collect();
    if face
        .iter()
        .any(|&(l, forward)| both.contains(&(l, !forward)))
    {
        return largest_simple_part(links, &face);
    }
    face
}

/// Of a walk that passes some links both ways, the closed part with the greatest area.
fn largest_simple_part(links: &[Link], face: &[(usize, bool)]) -> Vec<(usize, bool)> {
    let mut stack: Vec<(usize, bool)> = Vec::new();
    let mut place: BTreeMap<usize, usize> = BTreeMap::new();
    let mut best: (f64, Vec<(usize, bool)>) = (0.0, Vec::new());
    for &half in face {
        let from = turned(&links[half.0], half.1).from;
        if let Some(&depth) = place.get(&from) {
            let part = stack.split_off(depth);
            place.retain(|_, d| *d <= depth);
            let area: f64 = part
                .iter()
                .map(|&(l, f)| area_left_of(&turned(&links[l], f).segment))
                .sum();
            if area.abs() > best.0.abs() {
                best = (area, part);
            }
        }
        place.insert(from, stack.len());
        stack.push(half);
    }
    let area: f64 = stack
        .iter()
        .map(|&(l, f)| area_left_of(&turned(&links[l], f).segment))
        .sum();
    if area.abs() > best.0.abs() {
        best = (area, stack);
    }
    best.1
}

fn turned(link: &Link, forward: bool) -> Link {
    if forward {
        *link
    } else {
        Link {
            segment: link.segment.reversed(),
            from: link.to,
            to: link.from,
        }
    }
}

/// Signed area between a curve and the origin.
fn area_left_of(segment: &Segment) -> f64 {
    let (a, b) = (segment.start(), segment.end());
    let triangle = (a.x * b.y - a.y * b.x) / 2.0;
    match segment {
        Segment::Line { .. } => triangle,
        Segment::Arc(arc) => {
            triangle + arc.radius * arc.radius * (arc.sweep - sin(arc.sweep)) / 2.0
        }
    }
}
