import { latOf, lonOf, MOST_ROWS, PIECES, passOf, STARTS } from './memory';
import { shortTurn } from './steps';

/** Crossings of passes as in `meetings.ts` of the plain form: pieces by stretches of rows, and then where they meet. */

const CELL: f64 = 10;
const LONGEST_PIECE: f64 = 25;
const BUCKETS: i32 = 1 << 15;
/** Most cells that a piece touches. */
const MOST_CELLS: usize = 16;

/** Bytes of a piece: its ends, east and north, m; the row before it, its pass, column and row of the cell. */
const PIECE: usize = 48;
const ROW: usize = 32;
const PASS: usize = 36;
const COLUMN: usize = 40;
const CELL_ROW: usize = 44;
/** Bytes of a meeting: the shares of both pieces before it, and their rows. */
const MEETING: usize = 24;

let lat0: f64 = 0;
let lon0: f64 = 0;
let perLat: f64 = 0;
let perLon: f64 = 0;
let share: u32 = 1;

/** Rows so far, and the last of them. */
let next: i32 = 0;
let x: f64 = 0;
let y: f64 = 0;
let column: i32 = 0;
let cellRow: i32 = 0;
let pass: i32 = 0;
let isEmpty: bool = false;

let end: usize = PIECES;
/** Where the meetings begin, and how many they are. */
export let meetings: usize = 0;
export let meetingCount: i32 = 0;

export function beginPieces(lat: f64, lon: f64, degreeNorth: f64, degreeEast: f64, cells: u32): void {
  lat0 = lat;
  lon0 = lon;
  perLat = degreeNorth;
  perLon = degreeEast;
  share = cells;
  next = 0;
  end = PIECES;
}

/** Makes room for the pieces of a stretch; the memory may be another afterwards. */
export function reserve(): void {
  makeRoom(end + MOST_ROWS * MOST_CELLS * PIECE);
}

function makeRoom(to: usize): void {
  const pages = <i32>((to + 0xffff) >> 16) - memory.size();
  if (pages > 0) memory.grow(pages);
}

/** Adds the pieces before the rows of a stretch, once for each sampled cell that they touch. */
export function addPieces(rows: i32): void {
  for (let i: usize = 0; i < <usize>rows; i++) {
    const fromX = x;
    const fromY = y;
    const fromColumn = column;
    const fromRow = cellRow;
    const fromPass = pass;
    x = shortTurn(lonOf(i) - lon0) * perLon;
    y = (latOf(i) - lat0) * perLat;
    column = <i32>Math.floor(x / CELL);
    cellRow = <i32>Math.floor(y / CELL);
    pass = passOf(i);
    const isWithin = column === fromColumn && cellRow === fromRow && next > 0;
    if (!isWithin) isEmpty = !isSampled(mix(column, cellRow));
    if (next++ === 0 || pass !== fromPass || (isWithin && isEmpty)) continue;
    if (Math.abs(x - fromX) > LONGEST_PIECE || Math.abs(y - fromY) > LONGEST_PIECE) continue;
    for (let c = min(fromColumn, column); c <= max(fromColumn, column); c++)
      for (let r = min(fromRow, cellRow); r <= max(fromRow, cellRow); r++)
        if (isSampled(mix(c, r))) addPiece(fromX, fromY, c, r);
  }
}

function addPiece(fromX: f64, fromY: f64, c: i32, r: i32): void {
  store<f64>(end, fromX);
  store<f64>(end + 8, fromY);
  store<f64>(end + 16, x);
  store<f64>(end + 24, y);
  store<i32>(end + ROW, next - 2);
  store<i32>(end + PASS, pass);
  store<i32>(end + COLUMN, c);
  store<i32>(end + CELL_ROW, r);
  end += PIECE;
}

function mix(c: i32, r: i32): u32 {
  const mixed = (<u32>c * <u32>0x9e3779b1) ^ (<u32>r * <u32>0x85ebca6b);
  return ((mixed ^ (mixed >> 15)) * <u32>0x2c1b3c6d) >> 8;
}

function isSampled(mixed: u32): bool {
  return mixed % share === 0;
}

function bucketOf(piece: usize): usize {
  const mixed = mix(load<i32>(piece + COLUMN), load<i32>(piece + CELL_ROW));
  return STARTS + ((<usize>((mixed / share) & (BUCKETS - 1))) << 2);
}

/** Sorts the pieces by buckets of cells, and finds where those of a cell meet. */
export function meetPieces(): void {
  const order = end;
  makeRoom(order + (end - PIECES));
  memory.fill(STARTS, 0, (BUCKETS + 1) << 2);
  for (let piece: usize = PIECES; piece < end; piece += PIECE) {
    const bucket = bucketOf(piece);
    store<i32>(bucket, load<i32>(bucket) + 1);
  }
  let sum: i32 = 0;
  for (let bucket: i32 = 0; bucket <= BUCKETS; bucket++) {
    const at = STARTS + ((<usize>bucket) << 2);
    const count = load<i32>(at);
    store<i32>(at, sum);
    sum += count;
  }
  // Each start moves to that of the next bucket as pieces take their places.
  for (let piece: usize = PIECES; piece < end; piece += PIECE) {
    const bucket = bucketOf(piece);
    const place = load<i32>(bucket);
    store<usize>(order + ((<usize>place) << 2), piece);
    store<i32>(bucket, place + 1);
  }
  meetings = (order + ((<usize>sum) << 2) + 7) & ~7;
  meetingCount = 0;
  let from = order;
  for (let bucket: i32 = 0; bucket < BUCKETS; bucket++) {
    const to = order + ((<usize>load<i32>(STARTS + ((<usize>bucket) << 2))) << 2);
    for (; from < to; from += 4) meetPiece(load<usize>(from), from + 4, to);
  }
}

/** Finds where a piece meets those that follow in its bucket. */
function meetPiece(a: usize, from: usize, to: usize): void {
  const ownX = load<f64>(a);
  const ownY = load<f64>(a, 8);
  const ax = load<f64>(a, 16) - ownX;
  const ay = load<f64>(a, 24) - ownY;
  const own = load<i32>(a, PASS);
  const c = load<i32>(a, COLUMN);
  const r = load<i32>(a, CELL_ROW);
  for (let k = from; k < to; k += 4) {
    const b = load<usize>(k);
    if (load<i32>(b, PASS) === own || load<i32>(b, COLUMN) !== c || load<i32>(b, CELL_ROW) !== r) continue;
    const dx = load<f64>(b) - ownX;
    const dy = load<f64>(b, 8) - ownY;
    const bx = load<f64>(b, 16) - load<f64>(b);
    const by = load<f64>(b, 24) - load<f64>(b, 8);
    const cross = ax * by - ay * bx;
    const along = (dx * by - dy * bx) / cross;
    const across = (dx * ay - dy * ax) / cross;
    if (!(along >= 0 && along < 1 && across >= 0 && across < 1)) continue;
    if (
      <i32>Math.floor((ownX + along * ax) / CELL) !== c ||
      <i32>Math.floor((ownY + along * ay) / CELL) !== r
    )
      continue;
    const meeting = meetings + <usize>meetingCount * MEETING;
    makeRoom(meeting + MEETING);
    store<f64>(meeting, along);
    store<f64>(meeting, across, 8);
    store<i32>(meeting, load<i32>(a, ROW), 16);
    store<i32>(meeting, load<i32>(b, ROW), 20);
    meetingCount++;
  }
}
