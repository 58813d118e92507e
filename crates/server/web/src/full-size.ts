// Full-size lengths in feet and inches, as works drawings write them, and model lengths beside them.

/** Drawings of the time go down to sixteenths. */
const SIXTEENTHS = 16;

const FRACTIONS: Record<string, string> = { '8/16': '½', '4/16': '¼', '12/16': '¾', '2/16': '⅛', '6/16': '⅜', '10/16': '⅝', '14/16': '⅞' };

/** Inches as feet and inches to the nearest sixteenth: `5′ 3½″`. */
export function feetAndInches(inches: number): string {
  const sign = inches < 0 ? '−' : '';
  const all = Math.round(Math.abs(inches) * SIXTEENTHS);
  const feet = Math.floor(all / (12 * SIXTEENTHS));
  const rest = all - feet * 12 * SIXTEENTHS;
  const whole = Math.floor(rest / SIXTEENTHS);
  const part = rest % SIXTEENTHS;
  const fraction = part === 0 ? '' : (FRACTIONS[`${part}/16`] ?? `${whole > 0 ? ' ' : ''}${part}/16`);
  const small = `${whole === 0 && fraction !== '' ? '' : whole}${fraction}″`;
  return feet === 0 ? `${sign}${small}` : `${sign}${feet}′ ${small}`;
}

/** A model length (mm) as it would measure on the engine itself. */
export function fullSize(mm: number, mmPerFoot: number): string {
  return feetAndInches((mm / mmPerFoot) * 12);
}

const NUMBER = String.raw`(\d+(?:[.,]\d+)?)`;
const FRACTION = String.raw`(?:(\d+)\s*\/\s*(\d+))`;
const FEET = new RegExp(String.raw`^${NUMBER}\s*(?:ft|feet|foot|'|′)\s*-?\s*(.*)$`, 'i');
const INCHES = new RegExp(String.raw`^(?:${NUMBER}(?!\s*\/))?\s*-?\s*${FRACTION}?\s*(?:in|inch|inches|"|″|'')?$`, 'i');
const METRIC = new RegExp(String.raw`^${NUMBER}\s*(mm|cm|m)$`, 'i');

const plain = (text: string): string =>
  Object.entries(FRACTIONS)
    .reduce((so, [key, sign]) => so.replaceAll(sign, ` ${key}`), text)
    .trim();

const value = (text: string | undefined): number => Number((text ?? '0').replace(',', '.'));

function inchesOf(text: string): number | null {
  if (text === '') return 0;
  const found = INCHES.exec(text);
  if (!found || (found[1] === undefined && found[2] === undefined)) return null;
  const [, whole, above, below] = found;
  if (below !== undefined && Number(below) === 0) return null;
  return value(whole) + (above === undefined ? 0 : Number(above) / Number(below));
}

/**
 * A full-size length in millimetres of the engine itself: `15ft 6 1/2in`, `15' 6½"`, `186.5in`, `4737 mm`, `4.737 m`.
 * Nothing where it cannot be read; a bare number has no unit and is not read.
 */
export function readFullSize(text: string): number | null {
  const words = plain(text);
  const metric = METRIC.exec(words);
  if (metric) return value(metric[1]) * ({ mm: 1, cm: 10, m: 1000 }[(metric[2] ?? 'mm').toLowerCase()] ?? 1);
  const feet = FEET.exec(words);
  if (feet) {
    const inches = inchesOf((feet[2] ?? '').trim());
    return inches === null ? null : (value(feet[1]) * 12 + inches) * 25.4;
  }
  if (!/in|"|″/i.test(words)) return null;
  const inches = inchesOf(words);
  return inches === null ? null : inches * 25.4;
}
