//! Reads the published logs as they are: what cannot be read is reported with file and line and loses nothing else.

use std::fs;
use std::path::Path;

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime};

/// A dose that could be read.
pub struct Dose {
    /// File and line.
    pub line: String,
    /// When; these logs have no time zone, so UTC.
    pub at: DateTime<FixedOffset>,
    /// Key of the medicine.
    pub medicine: &'static str,
    /// Units, as the log writes them.
    pub value: String,
}

/// One person's log.
pub struct Log {
    pub name: String,
    /// In order of time; those of one minute in the order of the file.
    pub doses: Vec<Dose>,
    /// What could not be read, and why.
    pub malformed: Vec<String>,
}

impl Log {
    pub fn medicines(&self) -> Vec<&'static str> {
        let mut all: Vec<_> = self.doses.iter().map(|d| d.medicine).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

/// Every log of the folder they are kept in, by name.
pub fn all(folder: &Path) -> Vec<Log> {
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| {
            p.file_name()
                .unwrap()
                .to_str()
                .unwrap()
                .starts_with("data-")
        })
        .collect();
    files.sort();
    files.iter().map(|path| read(path)).collect()
}

fn read(path: &Path) -> Log {
    let name = path.file_name().unwrap().to_str().unwrap().to_owned();
    let mut log = Log {
        name: name.clone(),
        doses: Vec::new(),
        malformed: Vec::new(),
    };
    for (n, line) in fs::read_to_string(path).unwrap().lines().enumerate() {
        let line_name = format!("{name}:{}", n + 1);
        match parse(line, &line_name) {
            Ok(Some(dose)) => log.doses.push(dose),
            Ok(None) => {}
            Err(why) => log.malformed.push(format!("{line_name}: {why}: {line:?}")),
        }
    }
    log.doses.sort_by_key(|d| d.at);
    log
}

/// A dose, nothing (a line about something else), or why the line cannot be read.
fn parse(line: &str, line_name: &str) -> Result<Option<Dose>, String> {
    let fields: Vec<_> = line.split('\t').collect();
    let [date, time, code, value] = fields[..] else {
        return Err(format!("{} fields, not 4", fields.len()));
    };
    let date =
        NaiveDate::parse_from_str(date, "%m-%d-%Y").map_err(|_| "no such date".to_owned())?;
    let time = NaiveTime::parse_from_str(time, "%H:%M").map_err(|_| "no such time".to_owned())?;
    let value = value.trim();
    let medicine = match code.trim() {
        "33" => "insulin-human-regular-100",
        "34" => "insulin-human-nph-100",
        "35" => "insulin-human-zinc-100",
        // Glucose, meals, exercise and symptoms: codes 48 to 72 of the data set's own list.
        other => {
            return match other.parse::<u8>() {
                Ok(48 | 57..=72) if value.parse::<f64>().is_ok() => Ok(None),
                Ok(48 | 57..=72) => Err("not a number".to_owned()),
                _ => Err("a code the list does not have".to_owned()),
            };
        }
    };
    let units: f64 = value.parse().map_err(|_| "not a number".to_owned())?;
    if units <= 0.0 {
        return Err("a dose of nothing".to_owned());
    }
    let at = date.and_time(time).and_utc().fixed_offset();
    Ok(Some(Dose {
        line: line_name.to_owned(),
        at,
        medicine,
        value: value.to_owned(),
    }))
}
