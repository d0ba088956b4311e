//! A paper as plain data: sections of paragraphs, tables and lists, with boxes to tick and blanks to fill in. What is on
//! it is said once; a writer each makes of it a page for a browser, Markdown, or tables on a terminal.

pub mod clean;
pub mod html;
pub mod markdown;
pub mod plain;

use crate::syntax::tree::Name;

/// A paper.
#[derive(Clone, Debug, Default)]
pub struct Page {
    /// What it is of: the plan's title.
    pub title: String,
    /// What it is: `Bench sheet`.
    pub kind: &'static str,
    /// Right below the title.
    pub about: Vec<Block>,
    /// Its sections.
    pub sections: Vec<Section>,
}

/// A part of a paper.
#[derive(Clone, Debug)]
pub struct Section {
    /// By which it is found; letters and hyphens.
    pub id: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// What stands in it.
    pub blocks: Vec<Block>,
    /// On paper it begins a new page.
    pub new_page: bool,
}

/// Something that stands in a section.
#[derive(Clone, Debug)]
pub enum Block {
    /// A lower heading.
    Heading(Text),
    /// A paragraph.
    Paragraph(Text),
    /// A paragraph that must not be missed.
    Warning(Text),
    /// A table; one without rows is not shown.
    Table(Table),
    /// A list.
    List(Vec<Text>),
    /// A numbered list.
    Steps(Vec<Text>),
    /// A list with a box to tick ahead of each line.
    Ticks(Vec<Text>),
    /// A drawing as SVG that the program has made; Markdown and terminals show its name alone.
    Drawing {
        /// What it shows.
        name: String,
        /// The `svg` element.
        svg: String,
        /// On paper the page that it stands on lies across.
        across: bool,
    },
}

/// A table.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// What it shows, where its section does not say so already.
    pub caption: Option<&'static str>,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, in groups that are kept together.
    pub groups: Vec<Group>,
}

/// A column of a table.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Its heading.
    pub title: &'static str,
    /// It holds figures: flush right.
    pub figures: bool,
}

/// Rows that belong together.
#[derive(Clone, Debug, Default)]
pub struct Group {
    /// Their heading, if they have one.
    pub title: Option<Text>,
    /// The rows.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Clone, Debug, Default)]
pub struct Row {
    /// The item that it stands for: the one row by which an editor finds it.
    pub item: Option<Name>,
    /// A cell for each column.
    pub cells: Vec<Text>,
}

/// Words in a row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Text(pub Vec<Piece>);

/// A piece of a text.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// Our own words.
    Words(String),
    /// Our own words, to be seen.
    Strong(String),
    /// A word or text that the builder wrote; it may hold anything.
    Theirs(String),
    /// A colour by its name, shown as a patch too where that can be.
    Colour(String),
    /// A box to tick, and what it is for, for who cannot see where it stands.
    Tick(String),
    /// A blank to fill in, what it is for, and the unit behind it.
    Blank(String, &'static str),
}

impl Text {
    /// Nothing.
    pub fn none() -> Text {
        Text::default()
    }

    /// A word or text that the builder wrote.
    pub fn theirs(text: impl AsRef<str>) -> Text {
        Text(vec![Piece::Theirs(text.as_ref().to_owned())])
    }

    /// Our own words, to be seen.
    pub fn strong(text: impl Into<String>) -> Text {
        Text(vec![Piece::Strong(text.into())])
    }

    /// A box to tick.
    pub fn tick(what_for: impl Into<String>) -> Text {
        Text(vec![Piece::Tick(what_for.into())])
    }

    /// A blank to fill in.
    pub fn blank(what_for: impl Into<String>, unit: &'static str) -> Text {
        Text(vec![Piece::Blank(what_for.into(), unit)])
    }

    /// A colour by its name.
    pub fn colour(name: impl AsRef<str>) -> Text {
        Text(vec![Piece::Colour(name.as_ref().to_owned())])
    }

    /// Both, one behind the other.
    pub fn and(mut self, more: impl Into<Text>) -> Text {
        self.0.extend(more.into().0);
        self
    }

    /// Texts with words between them.
    pub fn joined(texts: impl IntoIterator<Item = Text>, between: &str) -> Text {
        let mut all = Text::none();
        for (n, text) in texts.into_iter().enumerate() {
            if n > 0 {
                all = all.and(between);
            }
            all = all.and(text);
        }
        all
    }

    /// Names that the builder wrote, with commas between them.
    pub fn names<'a>(names: impl IntoIterator<Item = &'a Name>) -> Text {
        Text::joined(names.into_iter().map(|name| Text::theirs(&*name.0)), ", ")
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl From<&str> for Text {
    fn from(words: &str) -> Text {
        Text::from(words.to_owned())
    }
}

impl From<String> for Text {
    fn from(words: String) -> Text {
        match words.is_empty() {
            true => Text::none(),
            false => Text(vec![Piece::Words(words)]),
        }
    }
}

impl From<&Name> for Text {
    fn from(name: &Name) -> Text {
        Text::theirs(&*name.0)
    }
}

impl Table {
    /// A table with these columns; those whose title ends in `#` hold figures.
    pub fn of(columns: &[&'static str]) -> Table {
        let column = |title: &&'static str| Column {
            title: title.strip_suffix('#').unwrap_or(title),
            figures: title.ends_with('#'),
        };
        Table {
            columns: columns.iter().map(column).collect(),
            ..Table::default()
        }
    }

    /// The same with a caption.
    pub fn caption(mut self, caption: &'static str) -> Table {
        self.caption = Some(caption);
        self
    }

    /// One more row, in the last group.
    pub fn row(&mut self, cells: impl IntoIterator<Item = Text>) {
        self.add(Row {
            item: None,
            cells: cells.into_iter().collect(),
        });
    }

    /// One more row that stands for an item.
    pub fn row_of(&mut self, item: &Name, cells: impl IntoIterator<Item = Text>) {
        self.add(Row {
            item: Some(item.clone()),
            cells: cells.into_iter().collect(),
        });
    }

    /// The rows that follow belong together under this heading.
    pub fn group(&mut self, title: impl Into<Text>) {
        self.groups.push(Group {
            title: Some(title.into()),
            rows: Vec::new(),
        });
    }

    fn add(&mut self, row: Row) {
        match self.groups.last_mut() {
            Some(group) => group.rows.push(row),
            None => self.groups.push(Group {
                title: None,
                rows: vec![row],
            }),
        }
    }

    /// Whether it has no rows.
    pub fn is_empty(&self) -> bool {
        self.groups.iter().all(|group| group.rows.is_empty())
    }
}

impl Section {
    /// A section; nothing stands in it yet.
    pub fn new(id: &'static str, title: &'static str) -> Section {
        Section {
            id,
            title,
            blocks: Vec::new(),
            new_page: false,
        }
    }

    /// The same, beginning a new page on paper.
    pub fn on_new_page(mut self) -> Section {
        self.new_page = true;
        self
    }

    /// One more block; a table or list with nothing in it is left out.
    pub fn put(&mut self, block: Block) {
        let is_empty = match &block {
            Block::Table(table) => table.is_empty(),
            Block::List(lines) | Block::Steps(lines) | Block::Ticks(lines) => lines.is_empty(),
            _ => false,
        };
        if !is_empty {
            self.blocks.push(block);
        }
    }

    /// One more heading.
    pub fn heading(&mut self, text: impl Into<Text>) {
        self.put(Block::Heading(text.into()));
    }

    /// One more paragraph.
    pub fn say(&mut self, text: impl Into<Text>) {
        self.put(Block::Paragraph(text.into()));
    }

    /// One more paragraph, unless there is nothing in it.
    pub fn note(&mut self, text: Text) {
        if !text.is_empty() {
            self.say(text);
        }
    }

    /// One more paragraph that must not be missed.
    pub fn warn(&mut self, text: impl Into<Text>) {
        self.put(Block::Warning(text.into()));
    }
}
