//! Where things lie.

use super::ShelfError;
use directories::ProjectDirs;
use std::path::{Path, PathBuf};

/// The folders and files of one user.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Folders {
    /// Folder of the songs.
    pub songs: PathBuf,
    /// Folder of the setlists.
    pub setlists: PathBuf,
    /// The practice log, a text file.
    pub log: PathBuf,
    /// The config file.
    pub config: PathBuf,
    /// Folder of the user's own themes.
    pub themes: PathBuf,
}

impl Folders {
    /// Those that this system's rules name (on Linux the XDG base directories).
    ///
    /// # Errors
    /// When the system names no home folder.
    pub fn of_user() -> Result<Folders, ShelfError> {
        let dirs = ProjectDirs::from("", "", "thumbline").ok_or(ShelfError::NoHome)?;
        Ok(Folders::at(dirs.data_dir(), dirs.config_dir()))
    }

    /// Everything under one folder.
    pub fn under(folder: &Path) -> Folders {
        Folders::at(folder, folder)
    }

    fn at(data: &Path, config: &Path) -> Folders {
        Folders {
            songs: data.join("songs"),
            setlists: data.join("setlists"),
            log: data.join("practice.log"),
            config: config.join("config.toml"),
            themes: config.join("themes"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_lies_under_the_folder_given() {
        let root = Path::new("evening");
        let f = Folders::under(root);
        for path in [&f.songs, &f.setlists, &f.log, &f.config, &f.themes] {
            assert!(path.starts_with(root), "{}", path.display());
        }
    }
}
