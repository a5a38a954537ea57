//! Several voices in one body: the first that sounds is read.

/// Which voice speaks and which one is read.
#[derive(Debug)]
pub(super) struct Voices {
    /// The first voice named in the header; music before any `V:` is its own.
    first: Option<String>,
    speaking: Option<String>,
    read: Option<Option<String>>,
}

impl Voices {
    pub(super) fn new(first: Option<String>) -> Voices {
        Voices {
            first,
            speaking: None,
            read: None,
        }
    }

    /// A `V:` field. `true` when what follows is silent.
    pub(super) fn speak(&mut self, value: &str) -> bool {
        let name = value.split_whitespace().next().unwrap_or("").to_string();
        self.first.get_or_insert_with(|| name.clone());
        if self.read == Some(None) && self.first.as_ref() == Some(&name) {
            self.read = Some(Some(name.clone()));
        }
        self.speaking = Some(name);
        self.silent()
    }

    /// The voice that speaks has music: the first one to have any is the one that is read.
    pub(super) fn music(&mut self) {
        if self.read.is_none() {
            self.read = Some(self.speaking.clone());
        }
    }

    /// The voice that speaks is not the one that is read.
    pub(super) fn silent(&self) -> bool {
        self.read.as_ref().is_some_and(|r| *r != self.speaking)
    }
}
