//! What a turnaround shows, and which landmarks drift.

use super::Heading;
use super::table::{number, spoken};

/// What a turnaround shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Turnaround {
    /// What it says of itself.
    pub heading: Heading,
    /// In order.
    pub views: Vec<TurnedView>,
    /// From the crown down.
    pub guides: Vec<Guide>,
    /// y of the ground, canvas units.
    pub ground: Option<f64>,
    /// Crown to ground, canvas units: what shares are of.
    pub height: f64,
    /// Height in heads, where the rig says.
    pub heads: Option<f64>,
    /// How far a landmark may drift, as a share of the height.
    pub tolerance: f64,
}

/// One view of a turnaround.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TurnedView {
    /// What it is called.
    pub name: String,
    /// The place of its pose in the list of jobs.
    pub figure: usize,
    /// What the figure covers, canvas units: left, top, right, bottom.
    pub window: [f64; 4],
}

/// One landmark over all views.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Guide {
    /// What it is called.
    pub name: String,
    /// Where the rig itself says that it is, canvas units.
    pub said: Option<f64>,
    /// y in each view, canvas units, where it can be measured there.
    pub drawn: Vec<Option<f64>>,
}

impl Guide {
    /// Where the line goes: what the rig says, else the middle one of what was measured.
    #[must_use]
    pub fn level(&self) -> Option<f64> {
        if self.said.is_some() {
            return self.said;
        }
        let mut drawn: Vec<f64> = self.drawn.iter().copied().flatten().collect();
        drawn.sort_by(f64::total_cmp);
        drawn.get(drawn.len().saturating_sub(1) / 2).copied()
    }

    /// How far the highest and the lowest lie apart.
    #[must_use]
    pub fn spread(&self) -> f64 {
        let all = || self.drawn.iter().copied().chain([self.said]).flatten();
        let least = all().fold(f64::INFINITY, f64::min);
        let most = all().fold(f64::NEG_INFINITY, f64::max);
        (most - least).max(0.0)
    }

    /// True where that is more than a tolerance, canvas units.
    #[must_use]
    pub fn drifts(&self, tolerance: f64) -> bool {
        self.spread() > tolerance
    }

    /// The views that stand off the line by more than half of a tolerance: of a landmark that
    /// drifts, at least one.
    pub(super) fn off(&self, tolerance: f64) -> impl Iterator<Item = (usize, f64)> {
        let level = self.level();
        self.drawn
            .iter()
            .enumerate()
            .filter_map(move |(at, drawn)| Some((at, (*drawn)?, level?)))
            .filter(move |(_, drawn, level)| (drawn - level).abs() > tolerance * 0.5)
            .map(|(at, drawn, _)| (at, drawn))
    }
}

impl Turnaround {
    /// The landmarks that drift.
    pub fn drifting(&self) -> impl Iterator<Item = &Guide> {
        let tolerance = self.tolerance * self.height;
        self.guides.iter().filter(move |g| g.drifts(tolerance))
    }

    /// What is wrong with a landmark, in words.
    #[must_use]
    pub fn fault(&self, guide: &Guide) -> String {
        let level = guide.level().unwrap_or(0.0);
        let views: Vec<String> = guide
            .off(self.tolerance * self.height)
            .map(|(at, drawn)| {
                let share = (drawn - level) / self.height * 100.0;
                let way = if share > 0.0 { "lower" } else { "higher" };
                let name = self.views.get(at).map_or("", |view| view.name.as_str());
                format!("{name} {} % {way}", number(share.abs(), 1))
            })
            .collect();
        format!(
            "{} drifts by {} % of the height, more than {} %: {}",
            spoken(&guide.name),
            number(guide.spread() / self.height * 100.0, 1),
            number(self.tolerance * 100.0, 2),
            views.join(", ")
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guide(said: Option<f64>, drawn: &[f64]) -> Guide {
        Guide {
            name: "eyes".into(),
            said,
            drawn: drawn.iter().map(|&y| Some(y)).collect(),
        }
    }

    #[test]
    fn a_landmark_drifts_when_its_views_lie_apart_by_more_than_the_tolerance() {
        assert!(!guide(None, &[100.0, 104.0, 105.0]).drifts(5.0));
        assert!(guide(None, &[100.0, 104.0, 105.1]).drifts(5.0));
        assert!(
            guide(Some(99.0), &[104.5, 104.5]).drifts(5.0),
            "what the rig says counts"
        );
        assert_eq!(guide(None, &[100.0, 130.0, 104.0]).level(), Some(104.0));
        assert_eq!(guide(None, &[]).level(), None);
        assert!(!guide(None, &[100.0]).drifts(0.0));
    }

    #[test]
    fn the_view_that_stands_off_is_named() {
        let sheet = Turnaround {
            views: ["front", "side", "back"]
                .map(|name| TurnedView {
                    name: name.into(),
                    ..TurnedView::default()
                })
                .to_vec(),
            guides: vec![guide(None, &[100.0, 112.0, 100.0])],
            height: 500.0,
            tolerance: 0.01,
            ..Turnaround::default()
        };
        let drifting: Vec<String> = sheet.drifting().map(|g| sheet.fault(g)).collect();
        assert_eq!(
            drifting,
            ["eyes drifts by 2.4 % of the height, more than 1 %: side 2.4 % lower"]
        );
    }
}
