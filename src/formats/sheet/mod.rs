//! The job sheet: one HTML file with everything that a person needs at the bench and at the tree.
//!
//! The file stands alone: pictures, meshes, style and script are inside, and a content security
//! policy with the hashes of the only style and the only script forbids everything else, the network
//! first. It prints on A4 and Letter, follows light and dark, works from the keyboard, and says all
//! that its pictures show in tables as well.
//!
//! Guarantees: whatever is in [`Sheet`] reaches the page as text, never as markup; control and
//! direction-override characters become U+FFFD; the same sheet gives the same bytes.
//!
//! The viewer is `viewer/viewer.js`, bundled with the library `three` (MIT, see
//! `viewer/viewer.LICENSE.txt`) into `viewer/viewer.bundle.js`. To build it anew:
//! `cd src/formats/sheet/viewer && npm ci && npm run build`; versions stand in `package.json`,
//! checksums in `viewer.sha256`, and a test compares them.

mod cautions;
mod model;

use askama::Template;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use sha2::{Digest as _, Sha256};

use super::drawing::clean;
use crate::engineering::account::Line;
use crate::finding::{Finding, Severity};
use crate::mesh::MeshFault;

pub(crate) use cautions::CAUTIONS;
pub(crate) use model::{Model, ModelDimension};

const STYLE: &str = include_str!("sheet.css");
const SCRIPT: &str = include_str!("viewer/viewer.bundle.js");

/// All that the sheet shows. Empty lists leave their section out.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Sheet {
    /// Name of the job.
    pub title: String,
    /// Program and version.
    pub generator: String,
    /// Place, dates, counts: what stands at the head.
    pub facts: Vec<Fact>,
    /// What the checks say, in any order; errors are shown first.
    pub findings: Vec<Finding>,
    /// Overview pictures.
    pub pictures: Vec<Picture>,
    /// Dimensioned drawings, each as wide as the page.
    pub drawings: Vec<Picture>,
    /// Parts to print.
    pub parts: Table,
    /// Beds to print.
    pub beds: Table,
    /// What to buy.
    pub buy: Table,
    /// Straps, pads, cord and cables to cut.
    pub cut: Table,
    /// Hours, nights, packs.
    pub runtime: Table,
    /// Every trunk in a row.
    pub all_trunks: Table,
    /// One card a trunk.
    pub trunks: Vec<Card>,
    /// Cable plan.
    pub feed: Option<Feed>,
    /// Dates and what to do on them.
    pub calendar: Vec<Fact>,
    /// The pull on the straps over the season.
    pub pull: Option<Picture>,
    /// What was assumed.
    pub assumptions: Vec<Assumption>,
    /// The sums, those that belong together under one title.
    pub accounts: Vec<Account>,
    /// Parts for the viewer.
    pub models: Vec<Model>,
    /// Measured dimensions for the viewer.
    pub dimensions: Vec<ModelDimension>,
}

/// A label and its value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fact {
    /// What.
    pub label: String,
    /// How much, with its unit.
    pub value: String,
}

impl Fact {
    /// From a label and a value.
    #[must_use]
    pub(crate) fn new(label: impl Into<String>, value: impl ToString) -> Self {
        Self { label: label.into(), value: value.to_string() }
    }

    /// Whether it wants a row of its own.
    fn is_long(&self) -> bool {
        const LONG: usize = 52;
        self.label.chars().count() + self.value.chars().count() > LONG
    }
}

/// A table. Rows may be shorter than the head.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Table {
    /// One line above it.
    pub caption: String,
    /// Heads of the columns.
    pub columns: Vec<Column>,
    /// Cells as text.
    pub rows: Vec<Vec<String>>,
    /// Whether each row gets a box to tick.
    pub tick: bool,
}

impl Table {
    fn numeric(&self, column: usize) -> bool {
        self.columns.get(column).is_some_and(|c| c.numeric)
    }
}

/// Head of a column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Column {
    /// Its name, with the unit.
    pub name: String,
    /// Whether its cells are set as numbers, to the right.
    pub numeric: bool,
}

/// What to know and do at one trunk.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Card {
    /// Name of the trunk.
    pub name: String,
    /// Its numbers: size, strap lengths, tilt, heights.
    pub facts: Vec<Fact>,
    /// Steps in order.
    pub steps: Vec<String>,
    /// Pictures.
    pub pictures: Vec<Picture>,
}

/// The cable plan.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Feed {
    /// The diagram.
    pub diagram: Option<Picture>,
    /// Fuse, section, worst volts.
    pub facts: Vec<Fact>,
    /// Volts at each fixture.
    pub volts: Table,
}

/// An assumption with its source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Assumption {
    /// What.
    pub what: String,
    /// The value with its unit.
    pub value: String,
    /// Where it comes from.
    pub source: String,
}

/// Calculations that belong together.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Account {
    /// What they are about.
    pub title: String,
    /// The sums.
    pub lines: Vec<Line>,
    /// Why a sum is absent, one phrase each.
    pub absent: Vec<String>,
}

/// A picture with its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Picture {
    /// Shown under it.
    pub title: String,
    /// Says what is to be seen, for those who do not see it.
    pub alt: String,
    /// The picture itself.
    pub content: PictureContent,
}

/// A picture's file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum PictureContent {
    /// A PNG file.
    Png(Vec<u8>),
    /// An SVG file; shown as an image, so that nothing in it can run.
    Svg(String),
}

impl PictureContent {
    /// The file.
    #[must_use]
    pub(crate) fn into_bytes(self) -> Vec<u8> {
        match self {
            Self::Png(bytes) => bytes,
            Self::Svg(text) => text.into_bytes(),
        }
    }
}

impl Picture {
    fn source(&self) -> String {
        match &self.content {
            PictureContent::Png(bytes) => format!("data:image/png;base64,{}", BASE64.encode(bytes)),
            PictureContent::Svg(text) => {
                format!("data:image/svg+xml;base64,{}", BASE64.encode(text))
            }
        }
    }
}

/// Why there is no sheet.
#[derive(Debug, thiserror::Error)]
pub(crate) enum SheetError {
    /// A mesh for the viewer is unusable.
    #[error("the part \"{name}\" cannot be shown: {fault}")]
    Mesh {
        /// Name of the part.
        name: String,
        /// What is wrong with it.
        fault: MeshFault,
    },
    /// An opacity or a dimension for the viewer is out of range.
    #[error("{what} of \"{name}\" is out of range")]
    Range {
        /// What.
        what: &'static str,
        /// Of what part or dimension.
        name: String,
    },
    /// The template gave up.
    #[error("the job sheet cannot be written: {0}")]
    Template(#[from] askama::Error),
}

#[derive(Template)]
#[template(path = "sheet.html", config = "src/formats/sheet/askama.toml")]
struct Page<'a> {
    d: &'a Sheet,
    findings: Vec<Shown<'a>>,
    sections: Vec<(&'static str, &'static str)>,
    tables: Vec<(&'static str, &'static str, &'a Table)>,
    cautions: &'static [&'static str],
    accounts: Vec<(&'a Account, Vec<(bool, &'a Line)>)>,
    has_models: bool,
    model: String,
    policy: String,
    style: &'static str,
    script: &'static str,
}

/// A finding as the page shows it.
struct Shown<'a> {
    inner: &'a Finding,
}

impl Shown<'_> {
    const fn severity_word(&self) -> &'static str {
        match self.inner.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

impl Sheet {
    /// The sheet as an HTML file.
    ///
    /// # Errors
    /// [`SheetError`]: a mesh, an opacity or a dimension that the viewer cannot show.
    pub(crate) fn html(&self) -> Result<String, SheetError> {
        let mut findings: Vec<Shown<'_>> =
            self.findings.iter().map(|inner| Shown { inner }).collect();
        findings.sort_by_key(|f| std::cmp::Reverse(f.inner.severity));
        let tables: Vec<_> = [
            ("parts", "Parts to print", &self.parts),
            ("beds", "Beds to print", &self.beds),
            ("buy", "To buy", &self.buy),
            ("cut", "To cut", &self.cut),
            ("runtime", "Runtime", &self.runtime),
            ("all-trunks", "All trunks", &self.all_trunks),
        ]
        .into_iter()
        .filter(|t| !t.2.rows.is_empty())
        .collect();
        let page = Page {
            d: self,
            findings,
            sections: self.sections(&tables),
            tables,
            cautions: CAUTIONS,
            accounts: self.lines(),
            has_models: !self.models.is_empty(),
            model: model::json(&self.models, &self.dimensions)?,
            policy: policy(),
            style: STYLE,
            script: SCRIPT,
        };
        let html = page.render()?;
        // All but the script, whose bytes the policy vouches for.
        let (head, tail) = html.rsplit_once(SCRIPT).unwrap_or((&html, ""));
        Ok(clean_lines(head) + SCRIPT + &clean_lines(tail))
    }

    /// The lines of every account, and whether a line's formula stands in an earlier one: in print
    /// it is not repeated.
    fn lines(&self) -> Vec<(&Account, Vec<(bool, &Line)>)> {
        let mut seen = std::collections::BTreeSet::new();
        let mut again = |line: &Line| !seen.insert((line.title.clone(), line.formula.clone()));
        let mut all = Vec::new();
        for account in &self.accounts {
            all.push((account, account.lines.iter().map(|l| (again(l), l)).collect()));
        }
        all
    }

    /// Names for the list of sections, in their order on the page.
    fn sections(
        &self,
        tables: &[(&'static str, &'static str, &Table)],
    ) -> Vec<(&'static str, &'static str)> {
        let some = |shown: bool, id, name| shown.then_some((id, name));
        [
            some(true, "findings", "Findings"),
            some(true, "cautions", "Before anything else"),
            some(!self.pictures.is_empty(), "pictures", "Pictures"),
            some(!self.models.is_empty(), "solids", "In three dimensions"),
            some(!self.drawings.is_empty(), "drawings", "Dimensions"),
        ]
        .into_iter()
        .flatten()
        .chain(tables.iter().map(|t| (t.0, t.1)))
        .chain(
            [
                some(!self.trunks.is_empty(), "trunks", "Trunk by trunk"),
                some(self.feed.is_some(), "feed", "Feed"),
                some(!self.calendar.is_empty(), "calendar", "Calendar"),
                some(!self.assumptions.is_empty(), "assumptions", "Assumptions"),
                some(!self.accounts.is_empty(), "sums", "The sums"),
            ]
            .into_iter()
            .flatten(),
        )
        .collect()
    }
}

/// A text without control characters but for the ends of its lines.
fn clean_lines(text: &str) -> String {
    let mut all = String::with_capacity(text.len());
    for (number, line) in text.split('\n').enumerate() {
        if number > 0 {
            all.push('\n');
        }
        // Nearly every line, and the long ones that hold pictures, are plain text already.
        if line.bytes().all(|b| (b' '..=b'~').contains(&b)) {
            all.push_str(line);
        } else {
            all.push_str(&clean(line));
        }
    }
    all
}

/// The content security policy (W3C, Content Security Policy Level 3): nothing from anywhere, except
/// the style and the script with these hashes and pictures that are part of the page.
fn policy() -> String {
    let hash = |text: &str| BASE64.encode(Sha256::digest(text.as_bytes()));
    format!(
        "default-src 'none'; img-src data:; style-src 'sha256-{}'; script-src 'sha256-{}'; \
         base-uri 'none'; form-action 'none'",
        hash(STYLE),
        hash(SCRIPT)
    )
}

#[cfg(test)]
mod tests;
