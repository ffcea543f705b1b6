//! What a table reply is made of: facts, grids, notes, what to mind and what it rests on.

use baybook_proto::v1 as pb;

use crate::{
    people::{Kind, Shown, Units},
    table::{Cell, Flush, Grid, Mark, WIDTH, draw_note, width, wrap},
};

/// One line of facts: a name, what the numbers measure, and the numbers under their headings.
pub struct Fact {
    label: String,
    kind: Kind,
    values: Vec<Option<f64>>,
}

impl Fact {
    /// A fact with one number.
    pub fn one(label: impl Into<String>, kind: Kind, value: Option<f64>) -> Self {
        Self { label: label.into(), kind, values: vec![value] }
    }

    /// A fact with a number for each heading.
    pub fn many(label: impl Into<String>, kind: Kind, values: impl Into<Vec<Option<f64>>>) -> Self {
        Self { label: label.into(), kind, values: values.into() }
    }

    fn is_empty(&self) -> bool {
        self.values.iter().all(Option::is_none)
    }
}

/// A column of a grid: words, or numbers of one kind.
pub enum Column<'a> {
    /// Words.
    Words(&'a str),
    /// Numbers, with their unit in the heading; one column for each unit that is shown.
    Numbers(&'a str, Kind),
}

/// What stands in a column.
pub enum Value {
    /// In a column of words.
    Words(Cell),
    /// In a column of numbers; nothing known is printed as such.
    Number(Option<f64>),
    /// In a column of numbers that puts no limit here.
    None,
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Words(text.into())
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::Words(text.into())
    }
}

impl From<Cell> for Value {
    fn from(cell: Cell) -> Self {
        Self::Words(cell)
    }
}

impl From<Option<f64>> for Value {
    fn from(number: Option<f64>) -> Self {
        Self::Number(number)
    }
}

/// A reply for people, built from top to bottom.
pub struct Page {
    units: Units,
    text: String,
    /// Whether the next block belongs to the line above it.
    joined: bool,
}

impl Page {
    /// Starts an empty page.
    pub const fn new(units: Units) -> Self {
        Self { units, text: String::new(), joined: false }
    }

    /// Returns the units people asked for.
    pub const fn units(&self) -> Units {
        self.units
    }

    /// Returns the whole text, stressed.
    pub fn into_text(self) -> String {
        self.text
    }

    fn gap(&mut self) {
        if !self.text.is_empty() && !std::mem::take(&mut self.joined) {
            self.text.push('\n');
        }
    }

    /// Adds text as it is, neither cut nor stressed.
    pub fn plain(&mut self, text: &str) {
        self.gap();
        self.text.push_str(text);
        self.text.push('\n');
    }

    /// Adds a title over the block that follows.
    pub fn title(&mut self, text: &str) {
        self.line(Cell::marked(text, Mark::Strong), "");
        self.joined = true;
    }

    /// Adds a sentence of its own; the marked words lead it.
    pub fn line(&mut self, lead: Cell, rest: &str) {
        self.gap();
        let begins = if lead.text.is_empty() { 0 } else { width(&lead.text) + 2 };
        let lead = lead.mark.on(&lead.text);
        self.text.push_str(&lead);
        if !rest.is_empty() {
            self.text.push_str(if lead.is_empty() { "" } else { "  " });
            // A sentence that is too long goes on below its own beginning.
            let indent = if begins + 20 < WIDTH { begins } else { 0 };
            for (place, part) in wrap(rest, WIDTH - indent).into_iter().enumerate() {
                if 0 < place {
                    self.text.push('\n');
                    self.text.extend(std::iter::repeat_n(' ', indent));
                }
                self.text.push_str(part);
            }
        }
        self.text.push('\n');
    }

    /// Adds facts under headings; a fact without any number is left out.
    ///
    /// Units stand beside each other when there is one number a fact, and below each other when there are several.
    pub fn facts(&mut self, title: &str, headings: &[&str], facts: Vec<Fact>) {
        let mut grid = Grid { columns: vec![(title.to_owned(), Flush::Left)], rows: Vec::new() };
        let single = headings.len() == 1;
        let beside = if single && self.units == Units::Both { 2 } else { 1 };
        for _ in 0..beside {
            grid.columns.extend(headings.iter().map(|heading| ((*heading).to_owned(), Flush::Right)));
            grid.columns.push((String::new(), Flush::Left));
        }
        for fact in facts.iter().filter(|fact| !fact.is_empty()) {
            if single {
                grid.rows.push(self.row_beside(fact, grid.columns.len()));
            } else {
                grid.rows.extend(self.rows_below(fact, headings.len()));
            }
        }
        self.grid_of(&grid);
    }

    fn row_beside(&self, fact: &Fact, columns: usize) -> Vec<Cell> {
        let mut row: Vec<Cell> = vec![fact.label.as_str().into()];
        let value = fact.values.first().copied().flatten();
        for Shown { number, unit } in value.map(|value| self.units.show(fact.kind, value)).unwrap_or_default() {
            row.push(number.into());
            row.push(unit.into());
        }
        row.resize(columns, Cell::default());
        row
    }

    fn rows_below(&self, fact: &Fact, numbers: usize) -> Vec<Vec<Cell>> {
        let rows = self.units.of(fact.kind).into_iter().enumerate().map(|(i, unit)| {
            let mut row: Vec<Cell> = vec![if i == 0 { fact.label.as_str().into() } else { "".into() }];
            for number in 0..numbers {
                row.push(match fact.values.get(number).copied().flatten() {
                    Some(value) => self.units.show(fact.kind, value).swap_remove(i).number.into(),
                    None => "".into(),
                });
            }
            row.push(unit.into());
            row
        });
        rows.collect()
    }

    /// Adds a table; a number nobody knows reads `unknown`.
    pub fn table(&mut self, columns: &[Column<'_>], rows: Vec<Vec<Value>>) {
        let mut grid = Grid::default();
        for column in columns {
            match column {
                Column::Words(title) => grid.columns.push(((*title).to_owned(), Flush::Left)),
                Column::Numbers(title, kind) => {
                    for (i, unit) in self.units.of(*kind).into_iter().enumerate() {
                        let title = if i == 0 { *title } else { "" };
                        grid.columns.push((format!("{title} {unit}").trim().to_owned(), Flush::Right));
                    }
                }
            }
        }
        for row in rows {
            let mut cells = Vec::new();
            for (value, column) in row.into_iter().zip(columns) {
                match (value, column) {
                    (Value::Words(cell), _) => cells.push(cell),
                    (Value::Number(Some(number)), Column::Numbers(_, kind)) => {
                        cells.extend(self.units.show(*kind, number).into_iter().map(|shown| shown.number.into()));
                    }
                    (Value::Number(None), Column::Numbers(_, kind)) => {
                        for i in 0..self.units.of(*kind).len() {
                            cells.push(if i == 0 { Cell::marked("unknown", Mark::Mind) } else { "".into() });
                        }
                    }
                    (_, Column::Numbers(_, kind)) => {
                        cells.extend(self.units.of(*kind).iter().map(|_| Cell::from("-")));
                    }
                    (_, Column::Words(_)) => cells.push(Cell::default()),
                }
            }
            grid.rows.push(cells);
        }
        self.grid_of(&grid);
    }

    fn grid_of(&mut self, grid: &Grid) {
        if !grid.rows.is_empty() {
            self.gap();
            grid.draw(&mut self.text);
        }
    }

    /// Adds notes under a heading, none without notes.
    pub fn notes<'a>(&mut self, heading: &str, notes: impl IntoIterator<Item = (&'a str, String)>) {
        let mut notes = notes.into_iter().peekable();
        if notes.peek().is_none() {
            return;
        }
        self.gap();
        self.text.push_str(&Mark::Strong.on(heading));
        self.text.push('\n');
        for (word, text) in notes {
            draw_note(word, &text, &mut self.text);
        }
    }

    /// Ends a calculation's page: what to mind, what it rests on, and at which revision the book was read.
    pub fn footing(&mut self, cautions: &[pb::Caution], basis: &[pb::Basis], revision: Option<i64>) {
        self.notes("mind", cautions.iter().map(|caution| ("", caution.text.clone())));
        // The same formula on other inputs rests on the same source; the inputs are in the JSON.
        let mut shown: Vec<(&str, String)> = Vec::new();
        for note in basis.iter().map(|basis| (basis.formula.as_str(), basis_text(basis))) {
            if !shown.contains(&note) {
                shown.push(note);
            }
        }
        self.notes("based on", shown);
        if let Some(revision) = revision.filter(|revision| 0 < *revision) {
            self.line(Cell::default(), &format!("read at revision {revision} of the book"));
        }
    }
}

fn basis_text(basis: &pb::Basis) -> String {
    let mut text = basis.source.clone();
    if !basis.edition.is_empty() && !text.contains(&basis.edition) {
        text = format!("{text}, {}", basis.edition);
    }
    match basis.status() {
        pb::SourceStatus::FromMemory => text + " (from memory; confirm before relying on it)",
        pb::SourceStatus::CommonPractice if text.to_lowercase().contains("common practice") => text,
        pb::SourceStatus::CommonPractice => text + " (common practice, no source)",
        pb::SourceStatus::Derived if text.is_empty() => "follows from mechanics or geometry".to_owned(),
        pb::SourceStatus::Derived | pb::SourceStatus::Opened | pb::SourceStatus::Unspecified => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(page: Page) -> String {
        anstream::adapter::strip_str(&page.into_text()).to_string()
    }

    #[test]
    fn facts_take_one_line_for_each_unit_and_leave_out_what_is_absent() {
        let mut page = Page::new(Units::Both);
        page.facts(
            "torque",
            &["low", "target", "high"],
            vec![
                Fact::many("at the fastener", Kind::Torque, [Some(90.0), Some(100.0), Some(110.0)]),
                Fact::many("share of proof", Kind::Share, [None, None, None]),
            ],
        );
        assert_eq!(
            plain(page),
            "\
torque            low  target  high
at the fastener  90.0     100   110  N·m
                 66.4    73.8  81.1  lb-ft
"
        );
    }

    #[test]
    fn a_number_nobody_knows_reads_unknown_and_a_link_without_a_limit_reads_as_a_dash() {
        let mut page = Page::new(Units::Si);
        page.table(
            &[Column::Words("link"), Column::Numbers("allows", Kind::Mass)],
            vec![
                vec!["receiver".into(), Some(2268.0).into()],
                vec!["ball".into(), None.into()],
                vec!["jack".into(), Value::None],
            ],
        );
        assert_eq!(plain(page), "link      allows kg\nreceiver       2268\nball        unknown\njack              -\n");
    }
}
