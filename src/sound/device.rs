//! Sound devices: what there is, which one is wanted, and how a stream on it is opened.

use super::engine::Engine;
use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use cpal::{
    BufferSize, ErrorKind, FromSample, OutputCallbackInfo, SampleFormat, SizedSample, StreamConfig,
    SupportedStreamConfig, SupportedStreamConfigRange,
};
use rtrb::{Consumer, Producer, RingBuffer};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Buffer sizes tried, in frames, before the device's own choice: left to themselves some servers
/// take two seconds. A machine too busy for one is given the next.
pub(super) const BUFFERS: [u32; 4] = [256, 512, 1024, 2048];

/// Sample formats we like best first.
const FORMATS: [SampleFormat; 12] = [
    SampleFormat::F32,
    SampleFormat::I32,
    SampleFormat::I24,
    SampleFormat::I16,
    SampleFormat::F64,
    SampleFormat::U16,
    SampleFormat::U32,
    SampleFormat::U24,
    SampleFormat::I64,
    SampleFormat::U64,
    SampleFormat::I8,
    SampleFormat::U8,
];

/// Sample rates we like best first, in Hz.
const RATES: [u32; 5] = [48_000, 44_100, 96_000, 88_200, 192_000];

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
    /// The player was told to use none.
    #[error("sound is switched off")]
    Off,
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

fn find(wish: Option<&str>) -> Result<cpal::Device, DeviceError> {
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
fn choose(
    default: Option<SupportedStreamConfig>,
    offers: impl Iterator<Item = SupportedStreamConfigRange>,
) -> Option<SupportedStreamConfig> {
    let format = |f: SampleFormat| FORMATS.iter().position(|&g| g == f);
    if let Some(default) = default
        && format(default.sample_format()).is_some()
        && default.channels() > 0
        && super::render::RATES.contains(&default.sample_rate())
    {
        return Some(default);
    }
    let mut best: Option<((usize, usize, usize), SupportedStreamConfig)> = None;
    for offer in offers.filter(|o| o.channels() > 0) {
        let Some(liking) = format(offer.sample_format()) else {
            continue;
        };
        let (low, high) = (offer.min_sample_rate(), offer.max_sample_rate());
        let known = RATES.iter().position(|r| (low..=high).contains(r));
        let rate = known.map_or(48_000u32.clamp(low, high), |i| RATES[i]);
        let channels = match offer.channels() {
            2 => 0,
            1 => 1,
            n => usize::from(n),
        };
        let rank = (known.unwrap_or(RATES.len()), channels, liking);
        if best.as_ref().is_none_or(|(b, _)| rank < *b) {
            best = Some((rank, offer.with_sample_rate(rate)));
        }
    }
    best.map(|(_, config)| config)
}

/// Where an engine lands when its stream is dropped.
pub(super) type Home = Arc<Mutex<Option<Box<Engine>>>>;

/// What the stream's callback reports.
#[derive(Debug, Default)]
pub(super) struct Pulse {
    /// Frames asked for so far; stands still when the device does.
    pub frames: AtomicU64,
    /// The device said that it is no more.
    pub gone: AtomicBool,
    /// The sound came too late for it; some devices don't go on after that.
    pub late: AtomicBool,
}

/// An open stream, silent until an engine is sent to it.
pub(super) struct Open {
    pub engine: Producer<Box<Engine>>,
    pub home: Home,
    pub pulse: Arc<Pulse>,
    pub rate: u32,
    pub name: String,
    // Last, so that the callback is gone before the rest.
    _stream: cpal::Stream,
}

/// The callback's side: plays the engine once it has come, and hands it home when dropped.
struct Feed {
    inbox: Consumer<Box<Engine>>,
    engine: Option<Box<Engine>>,
    home: Home,
    pulse: Arc<Pulse>,
    epoch: Instant,
    channels: usize,
    rate: f64,
}

impl Feed {
    fn fill<T: SizedSample + FromSample<f32>>(&mut self, out: &mut [T], info: &OutputCallbackInfo) {
        let frames = out.len() / self.channels;
        self.pulse
            .frames
            .fetch_add(frames as u64, Ordering::Relaxed);
        if self.engine.is_none() {
            self.engine = self.inbox.pop().ok();
        }
        let Some(engine) = &mut self.engine else {
            out.fill(T::EQUILIBRIUM);
            return;
        };
        let mut block = [[0f32; 2]; 128];
        for part in out.chunks_mut(block.len() * self.channels) {
            let block = &mut block[..part.len() / self.channels];
            engine.fill(block);
            for (frame, [left, right]) in part.chunks_mut(self.channels).zip(block) {
                match frame {
                    [one] => *one = T::from_sample((*left + *right) / 2.0),
                    [first, second, rest @ ..] => {
                        *first = T::from_sample(*left);
                        *second = T::from_sample(*right);
                        rest.fill(T::EQUILIBRIUM);
                    }
                    [] => {}
                }
            }
        }
        let stamp = info.timestamp();
        let delay = stamp.playback.saturating_duration_since(stamp.callback);
        let given = Duration::from_secs_f64(frames as f64 / self.rate);
        engine.publish(self.epoch.elapsed(), delay + given);
    }
}

impl Drop for Feed {
    fn drop(&mut self) {
        if let Some(engine) = self.engine.take().or_else(|| self.inbox.pop().ok()) {
            *self.home.lock().unwrap_or_else(PoisonError::into_inner) = Some(engine);
        }
    }
}

/// Opens a stream on the device wished for, or the default one, with buffers of at least
/// `BUFFERS[smallest]` frames. May take a while.
pub(super) fn open(
    wish: Option<&str>,
    smallest: usize,
    epoch: Instant,
) -> Result<Open, DeviceError> {
    hush();
    let device = find(wish)?;
    let default = device.default_output_config();
    let offers = device.supported_output_configs();
    if let (Err(error), Err(_)) = (&default, &offers) {
        return Err(error.clone().into());
    }
    let offers = offers.into_iter().flatten();
    let config = choose(default.ok(), offers).ok_or(DeviceError::Format)?;
    let sizes = BUFFERS.iter().skip(smallest).copied();
    let mut last = DeviceError::Format;
    for size in sizes.map(BufferSize::Fixed).chain([BufferSize::Default]) {
        match open_with(&device, &config, size, epoch) {
            Ok(open) => return Ok(open),
            Err(error) => last = error,
        }
    }
    Err(last)
}

fn open_with(
    device: &cpal::Device,
    config: &SupportedStreamConfig,
    size: BufferSize,
    epoch: Instant,
) -> Result<Open, DeviceError> {
    let stream_config = StreamConfig {
        channels: config.channels(),
        sample_rate: config.sample_rate(),
        buffer_size: size,
    };
    let (engine, inbox) = RingBuffer::new(1);
    let home = Home::default();
    let pulse = Arc::new(Pulse::default());
    let feed = Feed {
        inbox,
        engine: None,
        home: home.clone(),
        pulse: pulse.clone(),
        epoch,
        channels: usize::from(config.channels()),
        rate: f64::from(config.sample_rate()),
    };
    let build = match config.sample_format() {
        SampleFormat::F32 => build::<f32>,
        SampleFormat::F64 => build::<f64>,
        SampleFormat::I8 => build::<i8>,
        SampleFormat::I16 => build::<i16>,
        SampleFormat::I24 => build::<cpal::I24>,
        SampleFormat::I32 => build::<i32>,
        SampleFormat::I64 => build::<i64>,
        SampleFormat::U8 => build::<u8>,
        SampleFormat::U16 => build::<u16>,
        SampleFormat::U24 => build::<cpal::U24>,
        SampleFormat::U32 => build::<u32>,
        SampleFormat::U64 => build::<u64>,
        _ => return Err(DeviceError::Format),
    };
    let stream = build(device, stream_config, feed, pulse.clone())?;
    stream.play()?;
    let name = device.description().map(|d| d.name().to_owned());
    Ok(Open {
        engine,
        home,
        pulse,
        rate: config.sample_rate(),
        name: name.unwrap_or_else(|_| "sound device".into()),
        _stream: stream,
    })
}

fn build<T: SizedSample + FromSample<f32>>(
    device: &cpal::Device,
    config: StreamConfig,
    mut feed: Feed,
    pulse: Arc<Pulse>,
) -> Result<cpal::Stream, cpal::Error> {
    device.build_output_stream(
        config,
        move |out: &mut [T], info: &OutputCallbackInfo| feed.fill(out, info),
        // Some systems report errors in floods while the sound is perfect; only those that say the
        // stream is over count, and the frames that stop coming tell of the others.
        move |error| match error.kind() {
            ErrorKind::DeviceNotAvailable | ErrorKind::StreamInvalidated => {
                pulse.gone.store(true, Ordering::Relaxed);
            }
            ErrorKind::Xrun => pulse.late.store(true, Ordering::Relaxed),
            _ => {}
        },
        None,
    )
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
        assert!(choose(None, [bits].into_iter()).is_none());
    }
}
