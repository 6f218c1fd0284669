//! Why a command ended badly, and with which exit code.

use std::error::Error;

use super::closed_pipe::is_closed_pipe;
use super::exit::Exit;
use crate::questions::QuestionError;
use crate::records::LoadError;
use crate::report::ReportError;
use crate::results::ResultsError;
use crate::results::answers::AnswerError;
use crate::tables::write::WriteError;

/// A failure: what to say, and the exit code that says it too.
#[derive(Debug)]
pub struct Failure {
    /// The exit code.
    pub exit: Exit,
    /// What to say on the error stream; empty when the reader has simply gone.
    pub message: String,
}

impl Failure {
    /// Wrong usage.
    pub fn usage(message: impl ToString) -> Failure {
        Failure { exit: Exit::Usage, message: message.to_string() }
    }

    /// Records missing or unusable.
    pub fn records(message: impl ToString) -> Failure {
        Failure { exit: Exit::Records, message: message.to_string() }
    }

    /// Could not write; a closed pipe is no failure.
    pub fn write(error: &(dyn Error + 'static)) -> Failure {
        if is_closed_pipe(error) {
            return Failure { exit: Exit::Done, message: String::new() };
        }
        Failure { exit: Exit::CouldNotWrite, message: error.to_string() }
    }
}

impl From<WriteError> for Failure {
    fn from(error: WriteError) -> Failure {
        Failure::write(&error)
    }
}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Failure {
        Failure::write(&error)
    }
}

impl From<LoadError> for Failure {
    fn from(error: LoadError) -> Failure {
        Failure::records(error)
    }
}

impl From<ResultsError> for Failure {
    fn from(error: ResultsError) -> Failure {
        match error {
            ResultsError::NoSuchColumn { .. } | ResultsError::NoTable { .. } => Failure::usage(error),
            other => Failure { exit: Exit::Bug, message: other.to_string() },
        }
    }
}

impl From<QuestionError> for Failure {
    fn from(error: QuestionError) -> Failure {
        match error {
            QuestionError::Answer(error) => error.into(),
            QuestionError::NoRecords { .. } | QuestionError::TooLarge { .. } => Failure::records(error),
            other => Failure::usage(other),
        }
    }
}

impl From<ReportError> for Failure {
    fn from(error: ReportError) -> Failure {
        Failure { exit: Exit::Bug, message: error.to_string() }
    }
}

impl From<AnswerError> for Failure {
    fn from(error: AnswerError) -> Failure {
        match error {
            AnswerError::Results(error) => error.into(),
            AnswerError::NotYet(..) => Failure::usage(error),
            AnswerError::Across(..) => Failure { exit: Exit::Bug, message: error.to_string() },
            AnswerError::Problems(_) => Failure::records(error),
        }
    }
}
