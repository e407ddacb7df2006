// Short sounds, so that hands can go on without eyes: a tick for a card that is in, a buzz for one that is not, and
// two falling notes for news about an earlier one. Made on the spot; off if the reader wishes.

import * as keep from "./desk-keep.js";

const SWITCH = "tanbark-sound";
let context = null;

export function isOn() {
  return keep.get(SWITCH) !== false;
}

export function turn(on) {
  keep.put(SWITCH, on);
}

export const tick = () => play([{ from: 0, pitch: 1320, long: 0.05, shape: "sine", loud: 0.18 }]);

export const buzz = () =>
  play([
    { from: 0, pitch: 150, long: 0.14, shape: "square", loud: 0.16 },
    { from: 0.19, pitch: 150, long: 0.2, shape: "square", loud: 0.16 },
  ]);

export const news = () =>
  play([
    { from: 0, pitch: 660, long: 0.14, shape: "triangle", loud: 0.22 },
    { from: 0.16, pitch: 440, long: 0.24, shape: "triangle", loud: 0.22 },
  ]);

function play(notes) {
  if (!isOn() || !window.AudioContext) return;
  context ??= new AudioContext();
  if (context.state === "suspended") context.resume();
  for (const { from, pitch, long, shape, loud } of notes) {
    const note = context.createOscillator();
    const volume = context.createGain();
    const start = context.currentTime + from;
    note.type = shape;
    note.frequency.value = pitch;
    volume.gain.setValueAtTime(loud, start);
    volume.gain.exponentialRampToValueAtTime(0.001, start + long);
    note.connect(volume).connect(context.destination);
    note.start(start);
    note.stop(start + long);
  }
}
