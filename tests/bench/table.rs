//! Tables as Markdown renderers read them.

/// Rows of words under headings; all columns but the first are set right.
pub struct Table {
    rows: Vec<Vec<String>>,
}

impl Table {
    /// An empty table.
    pub fn new(headings: &[&str]) -> Self {
        Self {
            rows: vec![headings.iter().map(|h| (*h).to_owned()).collect()],
        }
    }

    /// Adds a row.
    pub fn row<const N: usize>(&mut self, cells: [String; N]) {
        assert_eq!(N, self.rows[0].len(), "a cell for each heading");
        self.rows.push(cells.into());
    }

    /// Prints it under a title.
    pub fn print(&self, title: &str) {
        println!("\n{title}\n");
        let columns = self.rows[0].len();
        let width = |c: usize| {
            let widest = self.rows.iter().map(|r| r[c].chars().count()).max();
            widest.unwrap_or(0).max(3)
        };
        let widths: Vec<usize> = (0..columns).map(width).collect();
        for (at, row) in self.rows.iter().enumerate() {
            let cells: Vec<String> = row
                .iter()
                .zip(&widths)
                .enumerate()
                .map(|(c, (cell, &w))| {
                    if c == 0 {
                        format!("{cell:<w$}")
                    } else {
                        format!("{cell:>w$}")
                    }
                })
                .collect();
            println!("| {} |", cells.join(" | "));
            if at == 0 {
                let rules: Vec<String> = widths
                    .iter()
                    .enumerate()
                    .map(|(c, &w)| {
                        if c == 0 {
                            "-".repeat(w)
                        } else {
                            format!("{}:", "-".repeat(w - 1))
                        }
                    })
                    .collect();
                println!("| {} |", rules.join(" | "));
            }
        }
    }
}

/// A number with three digits that mean something.
pub fn short(value: f64) -> String {
    let places = match value.abs() {
        v if v >= 99.95 => 0,
        v if v >= 9.995 => 1,
        v if v >= 0.9995 => 2,
        _ => 3,
    };
    format!("{value:.places$}")
}
