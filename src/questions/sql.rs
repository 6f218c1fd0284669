//! What a question asks for: whether it only asks, and the tables and columns it names.

use std::collections::HashSet;
use std::ops::ControlFlow;

use sqlparser::ast::{
    Expr, GroupByExpr, ObjectName, OrderBy, OrderByKind, Query, Select, SelectFlavor, SelectItem, SetExpr, Statement,
    TableFactor, Visit, Visitor,
};
use sqlparser::dialect::GenericDialect;
use sqlparser::parser::{Parser, ParserError, ParserOptions};
use sqlparser::tokenizer::{Token, Tokenizer};

use super::QuestionError;
use super::catalog::Asked;

/// A question, read.
#[derive(Debug, Clone, Default)]
pub struct Question {
    /// Tables it names, in order, once each; what it names with WITH is none.
    pub tables: Vec<String>,
    /// Names of columns it uses, in order.
    pub columns: Vec<String>,
    /// Whether it takes every column of a table.
    pub every_column: bool,
    /// The query for the engine: as it was typed, with its order completed so that equal rows come in one order too.
    pub sql: String,
    /// Whether the order of its rows is still the engine's own.
    pub unordered: bool,
    /// Every word of it.
    words: HashSet<String>,
    /// Names it makes itself: WITH and AS.
    made: HashSet<String>,
    /// Tables it makes itself with WITH.
    with: Vec<String>,
}

fn options() -> ParserOptions {
    ParserOptions { trailing_commas: true, ..ParserOptions::default() }
}

fn not_sql(error: &ParserError, sql: &str, columns: &dyn Fn(&str) -> bool) -> QuestionError {
    let said = match error {
        ParserError::TokenizerError(said) | ParserError::ParserError(said) => said.clone(),
        ParserError::RecursionLimitExceeded => "the query is nested too deep".to_string(),
    };
    // A word that SQL keeps for itself and a table uses for a column.
    let stumbled = |word: &String| said.contains(&format!("found: {word} "));
    let reserved = reserved_words(sql).into_iter().find(|word| columns(&word.to_lowercase()) && stumbled(word));
    let hint = match reserved {
        Some(word) => format!("a column that bears a word of SQL stands in double quotes: \"{}\"", word.to_lowercase()),
        None => "a query reads SELECT columns FROM table WHERE condition; \
                 `bladewane query FLEET --tables` lists tables and columns"
            .to_string(),
    };
    QuestionError::Engine { said, hint }
}

fn reserved_words(sql: &str) -> Vec<String> {
    let tokens = Tokenizer::new(&GenericDialect {}, sql).tokenize().unwrap_or_default();
    let is_reserved = |word: &sqlparser::tokenizer::Word| {
        word.quote_style.is_none() && word.keyword != sqlparser::keywords::Keyword::NoKeyword
    };
    tokens
        .into_iter()
        .filter_map(|token| match token {
            Token::Word(word) if is_reserved(&word) => Some(word.value),
            _ => None,
        })
        .collect()
}

impl Question {
    /// Reads a query; `is_column` tells whether any table has a column of that name.
    ///
    /// # Errors
    /// [`QuestionError::Engine`] with the place where it is no SQL; [`QuestionError::Refused`] when it does more than ask.
    pub fn read(sql: &str, is_column: &dyn Fn(&str) -> bool) -> Result<Question, QuestionError> {
        let statements = Parser::new(&GenericDialect {})
            .with_options(options())
            .try_with_sql(sql)
            .and_then(|mut parser| parser.parse_statements());
        let mut statements = statements.map_err(|error| not_sql(&error, sql, is_column))?;
        let query = match &mut statements[..] {
            [Statement::Query(query)] => query,
            [] => return Err(QuestionError::Refused { what: "the query is empty".to_string() }),
            [other] => {
                let verb = other.to_string();
                let verb = verb.split_whitespace().next().unwrap_or_default().to_string();
                return Err(QuestionError::Refused { what: format!("{verb} is not a question") });
            }
            several => {
                return Err(QuestionError::Refused { what: format!("{} statements, expected one", several.len()) });
            }
        };
        let mut seen = Seen::default();
        if let ControlFlow::Break(what) = query.visit(&mut seen) {
            return Err(QuestionError::Refused { what });
        }
        seen.question.unordered = seen.regroups && !complete_order(query, seen.regroups) && query.order_by.is_none();
        seen.question.sql = query.to_string();
        Ok(seen.into_question(sql))
    }

    /// Reads a condition on the rows of a table, and gives it back as it was understood.
    ///
    /// # Errors
    /// As [`Question::read`].
    pub fn condition(text: &str, is_column: &dyn Fn(&str) -> bool) -> Result<(String, Question), QuestionError> {
        let read = || -> Result<Expr, ParserError> {
            let mut parser = Parser::new(&GenericDialect {}).with_options(options()).try_with_sql(text)?;
            let condition = parser.parse_expr()?;
            match parser.peek_token().token {
                Token::EOF => Ok(condition),
                other => Err(ParserError::ParserError(format!("the condition ends before `{other}`"))),
            }
        };
        let condition = read().map_err(|error| match not_sql(&error, text, is_column) {
            QuestionError::Engine { said, hint } if hint.starts_with("a query") => QuestionError::Engine {
                said,
                hint: "a condition compares columns: tier <= 3 AND base = 'Coast'".to_string(),
            },
            other => other,
        })?;
        let mut seen = Seen::default();
        if let ControlFlow::Break(what) = condition.visit(&mut seen) {
            return Err(QuestionError::Refused { what });
        }
        Ok((condition.to_string(), seen.into_question(text)))
    }

    /// Whether a column of a table is asked for, as far as names tell.
    pub fn wants(&self, column: &str) -> bool {
        self.every_column || self.words.contains(column)
    }

    /// The columns it uses that are neither in its tables nor made by itself.
    pub fn unknown_columns<'q>(&'q self, known: impl Fn(&str) -> bool + 'q) -> impl Iterator<Item = &'q str> {
        let unknown = move |name: &&str| !known(name) && !self.made.contains(*name);
        self.columns.iter().map(String::as_str).filter(unknown)
    }
}

/// Orders rows that are equal in what the query orders by, or all rows of one that groups or joins and orders by nothing, by
/// the columns of the answer from left to right; whether that could be done. The engine's own order differs from run to run.
fn complete_order(query: &mut Query, regroups: bool) -> bool {
    let SetExpr::Select(select) = &*query.body else {
        return false;
    };
    let named = |item: &SelectItem| matches!(item, SelectItem::UnnamedExpr(_) | SelectItem::ExprWithAlias { .. });
    if !regroups || !select.projection.iter().all(named) {
        return false;
    }
    let places: Vec<String> = (1..=select.projection.len()).map(|place| place.to_string()).collect();
    let by_place = format!("SELECT 1 ORDER BY {}", places.join(", "));
    let Ok(Some(Statement::Query(ordered))) = Parser::parse_sql(&GenericDialect {}, &by_place).map(|mut s| s.pop())
    else {
        return false;
    };
    match (&mut query.order_by, ordered.order_by) {
        (none @ None, by_place) => *none = by_place,
        (
            Some(OrderBy { kind: OrderByKind::Expressions(by), .. }),
            Some(OrderBy { kind: OrderByKind::Expressions(places), .. }),
        ) => {
            by.extend(places);
        }
        _ => return false,
    }
    true
}

#[derive(Default)]
struct Seen {
    question: Question,
    regroups: bool,
}

impl Seen {
    fn into_question(self, sql: &str) -> Question {
        let mut question = self.question;
        let with = question.with.clone();
        question.tables.retain(|table| !with.contains(table));
        let tokens = Tokenizer::new(&GenericDialect {}, sql).tokenize().unwrap_or_default();
        for token in tokens {
            match token {
                Token::Word(word) => {
                    // Forms that take columns without naming them.
                    let takes_all = matches!(word.value.to_uppercase().as_str(), "NATURAL" | "COLUMNS" | "TABLE");
                    question.every_column |= takes_all && word.quote_style.is_none();
                    question.words.insert(word.value);
                }
                Token::DoubleQuotedString(text) => {
                    question.words.insert(text);
                }
                _ => {}
            }
        }
        question
    }
}

impl Visitor for Seen {
    type Break = String;

    fn pre_visit_query(&mut self, query: &Query) -> ControlFlow<String> {
        for with in query.with.iter().flat_map(|with| &with.cte_tables) {
            let name = &with.alias.name.value;
            if Asked::named(name).is_ok() {
                return ControlFlow::Break(format!("WITH {name} hides a table of this fleet: give it another name"));
            }
            self.question.with.push(name.clone());
            self.question.made.insert(name.clone());
            self.question.made.extend(with.alias.columns.iter().map(|column| column.name.value.clone()));
        }
        match &*query.body {
            SetExpr::Select(_) | SetExpr::Query(_) | SetExpr::Values(_) => {}
            SetExpr::SetOperation { .. } => self.regroups = true,
            SetExpr::Table(_) => self.question.every_column = true,
            other => {
                let verb = other.to_string();
                let verb = verb.split_whitespace().next().unwrap_or_default().to_string();
                return ControlFlow::Break(format!("{verb} is not a question"));
            }
        }
        ControlFlow::Continue(())
    }

    fn pre_visit_select(&mut self, select: &Select) -> ControlFlow<String> {
        if select.into.is_some() {
            return ControlFlow::Break("SELECT ... INTO writes a table".to_string());
        }
        self.question.every_column |= select.flavor != SelectFlavor::Standard;
        let groups = !matches!(&select.group_by, GroupByExpr::Expressions(by, _) if by.is_empty());
        let joins = select.from.len() > 1 || select.from.iter().any(|from| !from.joins.is_empty());
        self.regroups |= groups || joins || select.distinct.is_some();
        for item in &select.projection {
            match item {
                SelectItem::Wildcard(_) | SelectItem::QualifiedWildcard(..) => self.question.every_column = true,
                SelectItem::ExprWithAlias { alias, .. } => {
                    self.question.made.insert(alias.value.clone());
                }
                SelectItem::ExprWithAliases { aliases, .. } => {
                    self.question.made.extend(aliases.iter().map(|alias| alias.value.clone()));
                }
                SelectItem::UnnamedExpr(_) => {}
            }
        }
        ControlFlow::Continue(())
    }

    fn pre_visit_table_factor(&mut self, factor: &TableFactor) -> ControlFlow<String> {
        match factor {
            TableFactor::Table { name, args: Some(_), .. } | TableFactor::Function { name, .. } => {
                ControlFlow::Break(format!("{name}(...) is no table of this fleet: files are not read by a query"))
            }
            TableFactor::TableFunction { expr, .. } => {
                ControlFlow::Break(format!("{expr} is no table of this fleet: files are not read by a query"))
            }
            TableFactor::Derived { alias: Some(alias), .. } | TableFactor::Table { alias: Some(alias), .. } => {
                self.question.made.extend(alias.columns.iter().map(|column| column.name.value.clone()));
                ControlFlow::Continue(())
            }
            _ => ControlFlow::Continue(()),
        }
    }

    fn pre_visit_relation(&mut self, relation: &ObjectName) -> ControlFlow<String> {
        let name = match &relation.0[..] {
            [one] => one.as_ident().map_or_else(|| one.to_string(), |ident| ident.value.clone()),
            _ => relation.to_string(),
        };
        if !self.question.tables.contains(&name) {
            self.question.tables.push(name);
        }
        ControlFlow::Continue(())
    }

    fn pre_visit_expr(&mut self, expr: &Expr) -> ControlFlow<String> {
        match expr {
            Expr::Identifier(name) => self.question.columns.push(name.value.clone()),
            Expr::CompoundIdentifier(parts) => {
                self.question.columns.extend(parts.last().map(|last| last.value.clone()));
            }
            _ => {}
        }
        ControlFlow::Continue(())
    }
}
