/*
 * Plain data with typed arrays as bytes, for the cache: a header, the structure as JSON, then every number of the typed
 * arrays as they are, little endian. Numbers come back bit for bit, NaN and infinities included.
 */

const MAGIC = 0x31505344; // "DSP1" as bytes
const HEADER_BYTES = 12;

/** In the JSON, `{"$": ...}` stands for what JSON cannot say; plain objects here never have that key. */
type Stand =
  | { readonly $: 'array'; readonly from: number; readonly length: number }
  | { readonly $: 'number'; readonly text: string };

/** @throws TypeError for what is not plain: functions, class instances, other typed arrays, an object with a key `$` */
export function encodePlain(value: unknown): Uint8Array<ArrayBuffer> {
  const arrays: Float64Array[] = [];
  let numbers = 0;
  const keep = (array: Float64Array): Stand => {
    const from = numbers;
    arrays.push(array);
    numbers += array.length;
    return { $: 'array', from, length: array.length };
  };
  const json = new TextEncoder().encode(JSON.stringify(standIn(value, keep)));
  const start = Math.ceil((HEADER_BYTES + json.length) / 8) * 8;
  const bytes = new Uint8Array(start + numbers * 8);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, MAGIC, true);
  view.setUint32(4, json.length, true);
  view.setUint32(8, numbers, true);
  bytes.set(json, HEADER_BYTES);
  let at = start;
  for (const array of arrays) {
    for (const number of array) {
      view.setFloat64(at, number, true);
      at += 8;
    }
  }
  return bytes;
}

/** @throws Error where the bytes are not whole */
export function decodePlain(bytes: Uint8Array): unknown {
  if (bytes.length < HEADER_BYTES) throw new Error('The data are cut off.');
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const jsonLength = view.getUint32(4, true);
  const numbers = view.getUint32(8, true);
  const start = Math.ceil((HEADER_BYTES + jsonLength) / 8) * 8;
  if (view.getUint32(0, true) !== MAGIC || bytes.length !== start + numbers * 8)
    throw new Error('The data are damaged.');
  const json = new TextDecoder('utf-8', { fatal: true }).decode(
    bytes.subarray(HEADER_BYTES, HEADER_BYTES + jsonLength),
  );
  return restored(JSON.parse(json), (from, length) => {
    if (from + length > numbers) throw new Error('The data are damaged.');
    const array = new Float64Array(length);
    for (let i = 0; i < length; i++) array[i] = view.getFloat64(start + (from + i) * 8, true);
    return array;
  });
}

function standIn(value: unknown, keep: (array: Float64Array) => Stand): unknown {
  if (typeof value === 'number') {
    const exact = Number.isFinite(value) && !Object.is(value, -0);
    return exact ? value : { $: 'number', text: Object.is(value, -0) ? '-0' : String(value) };
  }
  if (value instanceof Float64Array) return keep(value);
  if (Array.isArray(value)) return value.map((item) => standIn(item, keep));
  if (typeof value === 'object' && value !== null) return standInObject(value, keep);
  if (typeof value === 'string' || typeof value === 'boolean' || value === null || value === undefined) return value;
  throw new TypeError(`A ${typeof value} is no plain data.`);
}

function standInObject(value: object, keep: (array: Float64Array) => Stand): Record<string, unknown> {
  if (Object.getPrototypeOf(value) !== Object.prototype || Object.hasOwn(value, '$'))
    throw new TypeError('The object is no plain data.');
  const copy: [string, unknown][] = [];
  for (const [key, inner] of Object.entries(value)) if (inner !== undefined) copy.push([key, standIn(inner, keep)]);
  return Object.fromEntries(copy);
}

function restored(value: unknown, array: (from: number, length: number) => Float64Array): unknown {
  if (Array.isArray(value)) return value.map((item) => restored(item, array));
  if (typeof value !== 'object' || value === null) return value;
  if (Object.hasOwn(value, '$')) {
    const stand = value as Stand;
    return stand.$ === 'array' ? array(stand.from, stand.length) : Number(stand.text);
  }
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, restored(inner, array)]));
}
