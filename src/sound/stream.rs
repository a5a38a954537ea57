//! An open stream: a device's callback, and the engine's way into it and back.

use super::device::{DeviceError, choose, find, hush};
use super::engine::Engine;
use cpal::traits::{DeviceTrait, StreamTrait};
use cpal::{
    BufferSize, ErrorKind, FromSample, OutputCallbackInfo, SampleFormat, SizedSample, StreamConfig,
    SupportedStreamConfig,
};
use rtrb::{Consumer, Producer, RingBuffer};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Buffer sizes tried, in frames, before the device's own choice: left to themselves some servers
/// take two seconds. A machine too busy for one is given the next.
pub(super) const BUFFERS: [u32; 4] = [256, 512, 1024, 2048];

/// Builds a stream of some sample format.
type Build = fn(&cpal::Device, StreamConfig, Feed, Arc<Pulse>) -> Result<cpal::Stream, cpal::Error>;

/// The sample formats we can give, those we like best first, and what builds their streams.
pub(super) const FORMATS: [(SampleFormat, Build); 12] = [
    (SampleFormat::F32, build::<f32>),
    (SampleFormat::I32, build::<i32>),
    (SampleFormat::I24, build::<cpal::I24>),
    (SampleFormat::I16, build::<i16>),
    (SampleFormat::F64, build::<f64>),
    (SampleFormat::U16, build::<u16>),
    (SampleFormat::U32, build::<u32>),
    (SampleFormat::U24, build::<cpal::U24>),
    (SampleFormat::I64, build::<i64>),
    (SampleFormat::U64, build::<u64>),
    (SampleFormat::I8, build::<i8>),
    (SampleFormat::U8, build::<u8>),
];

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
    // First, since fields are dropped in this order: the callback is gone before the rest.
    _stream: cpal::Stream,
    pub engine: Producer<Box<Engine>>,
    pub home: Home,
    pub pulse: Arc<Pulse>,
    pub rate: u32,
    pub name: String,
}

/// The callback's side: plays the engine once it has come, and hands it home when dropped.
pub(super) struct Feed {
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
    let wanted = |(format, _): &&(SampleFormat, Build)| *format == config.sample_format();
    let (_, build) = FORMATS.iter().find(wanted).ok_or(DeviceError::Format)?;
    let stream = build(device, stream_config, feed, pulse.clone())?;
    stream.play()?;
    let name = device.description().map(|d| d.name().to_owned());
    Ok(Open {
        _stream: stream,
        engine,
        home,
        pulse,
        rate: config.sample_rate(),
        name: name.unwrap_or_else(|_| "sound device".into()),
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
