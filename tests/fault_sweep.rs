//! Every sort of fault made by rule in the joints, seams, masks and garments of the demo cast: how many of those
//! that a picture shows are found. Common practice, no source: it is what mutation testing does to programs.

use crate::support;
use std::collections::BTreeMap;

use crate::mutants::Subject;
use rayon::prelude::*;

/// One of so many is tried; the next view starts with another.
const STRIDE: usize = 17;

/// Sorts of which all that are seen are found. Of the others some are not: a garment that has moved is looked for
/// along its host's sides and against the other side, and part of them show less than the limits take for a fault.
const ALL: [&str; 10] = [
    "garment on a far host",
    "limb half moved by a third",
    "limb half too large",
    "line too heavy",
    "line too thin",
    "trim left out",
    "trim of another colour",
    "wrong paint",
    "zone too large",
    "zone too small",
];
/// Share of all that are seen that must be found.
const MOST: f64 = 0.88;

/// What came of one sort.
#[derive(Default)]
struct Row {
    made: usize,
    seen: usize,
    found: usize,
    missed: Vec<String>,
}

#[test]
fn faults_made_by_rule_are_found() {
    let mut table: BTreeMap<&str, Row> = BTreeMap::new();
    for (start, member) in support::DEMO.into_iter().enumerate() {
        let subject = Subject::demo(member);
        for view in 0..subject.member.views.len() {
            let before = subject.found(subject.member.clone(), view);
            let some: Vec<_> = subject
                .mutants(view)
                .into_iter()
                .skip((start + view) % STRIDE)
                .step_by(STRIDE)
                .collect();
            let results: Vec<_> = some
                .into_par_iter()
                .map(|m| {
                    let now = subject.found(m.member.clone(), m.view);
                    // Told of, and by the name of a part that has it.
                    let found = now
                        .iter()
                        .any(|f| !before.contains(f) && f.1.iter().any(|p| m.names.contains(p)));
                    // By pixels alone: what is found is no witness that there is something to find.
                    let seen = subject.is_seen(&m);
                    (m.sort, m.what, found, seen)
                })
                .collect();
            for (sort, what, found, seen) in results {
                let row = table.entry(sort).or_default();
                row.made += 1;
                row.seen += usize::from(seen);
                row.found += usize::from(seen && found);
                if seen && !found {
                    row.missed.push(what);
                }
            }
        }
    }
    let mut told = Vec::new();
    for (sort, row) in &table {
        told.push(format!(
            "{sort:28} {:3} made, {:3} seen, {:3} found; missed: {}",
            row.made,
            row.seen,
            row.found,
            row.missed.join(", ")
        ));
    }
    let told = told.join("\n");
    let sum = |of: fn(&Row) -> usize| table.values().map(of).sum::<usize>();
    let (seen, found) = (sum(|r| r.seen), sum(|r| r.found));
    println!("{told}\n{found} of {seen} found");
    assert!(seen >= 100, "{told}");
    for sort in ALL {
        let row = &table[sort];
        assert!(row.seen > 0 && row.found == row.seen, "{sort}:\n{told}");
    }
    #[expect(clippy::cast_precision_loss, reason = "small counts")]
    let share = found as f64 / seen as f64;
    assert!(share >= MOST, "{found} of {seen}:\n{told}");
}
