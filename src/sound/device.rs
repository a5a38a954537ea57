//! Sound devices: what there is, and which one is wanted.

use super::stream::FORMATS;
use cpal::traits::{DeviceTrait, HostTrait};
use cpal::{ErrorKind, SampleFormat, SupportedStreamConfig, SupportedStreamConfigRange};

/// Sample rates we like best first, in Hz.
const LIKED_RATES: [u32; 5] = [48_000, 44_100, 96_000, 88_200, 192_000];

/// A device to play on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceInfo {
    /// Its name for people.
    pub name: String,
    /// Its name for the system, which is the same every time.
    pub id: String,
    /// It is the one used when none is chosen.
    pub default: bool,
}

/// Why there is no sound.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DeviceError {
    /// Nothing to play on.
    #[error("there is no sound device; plug one in or start the sound server")]
    None,
    /// No device of the name asked for.
    #[error("there is no sound device called “{0}”; `thumbline probe` lists those there are")]
    Unknown(String),
    /// Another program holds it.
    #[error("the sound device is in use by another program; close that one")]
    Busy,
    /// The system says no.
    #[error("the system does not let us use the sound device; check your rights to it")]
    Denied,
    /// No format in common.
    #[error("the sound device offers no stereo or mono format that can be played")]
    Format,
    /// It went away or stands still.
    #[error("the sound device is gone or stands still")]
    Gone,
    /// What else the system says.
    #[error("the sound device does not answer: {0}")]
    Other(String),
}

impl From<cpal::Error> for DeviceError {
    fn from(error: cpal::Error) -> DeviceError {
        match error.kind() {
            ErrorKind::DeviceNotAvailable | ErrorKind::HostUnavailable => DeviceError::None,
            ErrorKind::DeviceBusy => DeviceError::Busy,
            ErrorKind::PermissionDenied => DeviceError::Denied,
            ErrorKind::UnsupportedConfig => DeviceError::Format,
            ErrorKind::StreamInvalidated => DeviceError::Gone,
            _ => DeviceError::Other(error.to_string()),
        }
    }
}

/// Keeps the ALSA library from writing its complaints over the screen, for this thread.
pub(super) fn hush() {
    #[cfg(target_os = "linux")]
    if alsa::Output::local_error_handler().is_err() {
        // Then it complains on standard error as ever, which is no reason to stop.
    }
}

/// Names that ALSA lists beside its devices but that lead nowhere by themselves: converters and the
/// bit bucket (from the list of its plugins in alsa-plugins' documentation).
const CONVERTERS: [&str; 7] = [
    "null",
    "lavrate",
    "samplerate",
    "speexrate",
    "speex",
    "upmix",
    "vdownmix",
];

/// The devices sound can be played on, the default first. Empty when there is none.
pub fn devices() -> Vec<DeviceInfo> {
    hush();
    let host = cpal::default_host();
    let default = host.default_output_device();
    // A default device is named even where there is none; only one that answers counts.
    let default = default.filter(|d| d.default_output_config().is_ok());
    let default_id = default.as_ref().and_then(|d| d.id().ok());
    let found = host.output_devices().into_iter().flatten();
    let mut list: Vec<DeviceInfo> = default
        .into_iter()
        .chain(found)
        .filter_map(|device| {
            let id = device.id().ok()?;
            Some(DeviceInfo {
                name: device.description().ok()?.name().to_owned(),
                default: Some(&id) == default_id.as_ref(),
                id: id.to_string(),
            })
        })
        .filter(|d| !CONVERTERS.iter().any(|c| d.id.ends_with(&format!(":{c}"))))
        .collect();
    let mut seen = std::collections::HashSet::new();
    list.retain(|d| seen.insert(d.id.clone()));
    list
}

pub(super) fn find(wish: Option<&str>) -> Result<cpal::Device, DeviceError> {
    let host = cpal::default_host();
    let Some(wish) = wish else {
        return host.default_output_device().ok_or(DeviceError::None);
    };
    let unknown = || DeviceError::Unknown(wish.to_owned());
    let lower = wish.to_lowercase();
    let mut near = None;
    for device in host.output_devices()? {
        let id = device.id().map(|id| id.to_string()).unwrap_or_default();
        let name = device.description().map(|d| d.name().to_lowercase());
        let name = name.unwrap_or_default();
        if id == wish || id.ends_with(&format!(":{wish}")) || name == lower {
            return Ok(device);
        }
        if near.is_none() && name.contains(&lower) {
            near = Some(device);
        }
    }
    near.ok_or_else(unknown)
}

/// The best of what a device offers: a rate and format we like, two channels before more or one.
pub(super) fn choose(
    default: Option<SupportedStreamConfig>,
    offers: impl Iterator<Item = SupportedStreamConfigRange>,
) -> Option<SupportedStreamConfig> {
    let format = |f: SampleFormat| FORMATS.iter().position(|(g, _)| *g == f);
    if let Some(default) = default
        && format(default.sample_format()).is_some()
        && default.channels() > 0
        && super::render::RATES.contains(&default.sample_rate())
    {
        return Some(default);
    }
    let mut best: Option<((usize, usize, usize), SupportedStreamConfig)> = None;
    // What a driver says is not always sense.
    let sound = |o: &SupportedStreamConfigRange| {
        o.channels() > 0 && o.min_sample_rate() <= o.max_sample_rate()
    };
    for offer in offers.filter(sound) {
        let Some(liking) = format(offer.sample_format()) else {
            continue;
        };
        let (low, high) = (offer.min_sample_rate(), offer.max_sample_rate());
        let known = LIKED_RATES.iter().position(|r| (low..=high).contains(r));
        let rate = known.map_or(48_000u32.clamp(low, high), |i| LIKED_RATES[i]);
        let channels = match offer.channels() {
            2 => 0,
            1 => 1,
            n => usize::from(n),
        };
        let rank = (known.unwrap_or(LIKED_RATES.len()), channels, liking);
        if best.as_ref().is_none_or(|(b, _)| rank < *b) {
            best = Some((rank, offer.with_sample_rate(rate)));
        }
    }
    best.map(|(_, config)| config)
}

#[cfg(test)]
mod tests {
    use super::*;
    use cpal::SupportedBufferSize::Unknown;

    fn offer(
        channels: u16,
        low: u32,
        high: u32,
        format: SampleFormat,
    ) -> SupportedStreamConfigRange {
        SupportedStreamConfigRange::new(channels, low, high, Unknown, format)
    }

    #[test]
    fn odd_devices_get_the_nearest_we_like() {
        let offers = [
            offer(6, 48_000, 48_000, SampleFormat::F32),
            offer(2, 8_000, 22_050, SampleFormat::F32),
            offer(2, 44_100, 44_100, SampleFormat::U8),
            offer(2, 44_100, 44_100, SampleFormat::I16),
        ];
        let got = choose(None, offers.into_iter()).unwrap();
        assert_eq!((got.channels(), got.sample_rate()), (6, 48_000));
        let got = choose(None, offers[1..].iter().copied()).unwrap();
        assert_eq!(got.sample_format(), SampleFormat::I16);
        assert_eq!(got.sample_rate(), 44_100);
        let got = choose(None, offers[1..2].iter().copied()).unwrap();
        assert_eq!(got.sample_rate(), 22_050);
        let bits = offer(2, 44_100, 44_100, SampleFormat::DsdU8);
        let upside_down = offer(2, 96_000, 44_100, SampleFormat::F32);
        assert!(choose(None, [bits, upside_down].into_iter()).is_none());
    }
}
