//! What `--version` says: which program this is and how it was built.

const SOUND: bool = cfg!(feature = "sound");

macro_rules! told {
    ($sound:literal) => {
        concat!(
            env!("CARGO_PKG_VERSION"),
            "\ntarget    ",
            env!("THUMBLINE_TARGET"),
            "\nprofile   ",
            env!("THUMBLINE_PROFILE"),
            "\nsound     ",
            $sound,
            "\nbuilt by  ",
            env!("THUMBLINE_RUSTC")
        )
    };
}

/// The version with the facts of the build, which `src/build.rs` found out.
pub(super) const LONG: &str = if SOUND {
    told!("built in")
} else {
    told!("left out")
};
