//! The columns that say which propeller a row is about.

use arrow::array::ArrayRef;

use super::arrays;
use crate::analysis::margins::model_now;
use crate::records::Fleet;
use crate::records::choice::Use;

/// Columns about the propellers of a table's rows.
pub struct Identity<'i, 'a> {
    fleet: &'i Fleet<'a>,
    propellers: Vec<u32>,
}

impl<'i, 'a> Identity<'i, 'a> {
    /// Of these propellers, one a row.
    pub fn of(fleet: &'i Fleet<'a>, propellers: Vec<u32>) -> Self {
        Identity { fleet, propellers }
    }

    /// Serials.
    pub fn serial(&self) -> ArrayRef {
        arrays::texts_by_number(&self.propellers, |p| self.fleet.propellers.serial(p))
    }

    /// Models today.
    pub fn model(&self) -> ArrayRef {
        let name = |&p: &u32| model_now(self.fleet, p).map(|m| self.fleet.models.get(m).name.as_str());
        arrays::texts(self.propellers.iter().map(name))
    }

    /// Aircraft.
    pub fn aircraft(&self) -> ArrayRef {
        arrays::texts(self.propellers.iter().map(|&p| self.fleet.aircraft_of(p)))
    }

    /// Uses.
    pub fn usage(&self) -> ArrayRef {
        let word = |&p: &u32| self.fleet.propellers.get(p).usage.map(Use::word);
        arrays::texts(self.propellers.iter().map(word))
    }

    /// Home bases.
    pub fn base(&self) -> ArrayRef {
        let name = |&p: &u32| {
            let code = self.fleet.propellers.get(p).base?;
            Some(self.fleet.propellers.bases.get(code))
        };
        arrays::texts(self.propellers.iter().map(name))
    }
}
