// What can be pointed at on a plate, in both its states, and which of it lies under the pointer.

import { Vector3 } from 'three';
import { fetchFeatures, type Feature, type Reading } from './api';
import { mm, words } from './dom';

/** How near (px) the pointer has to come. */
const NEAR_PX = 8;

/** Lies this far (mm) behind what is seen and still counts as seen: thickness of sheet and more. */
export const BEHIND_MM = 1.2;

export const point = (place: readonly number[]): Vector3 => new Vector3(place[0], place[1], place[2]);

/** What a feature is called where it is lit. */
export function featureWords(feature: Feature): string {
  const name = words(feature.name);
  switch (feature.kind) {
    case 'edge':
      return `Edge ${name}${feature.length_mm === undefined ? '' : `, ${mm(feature.length_mm)} mm long`}`;
    case 'hole':
      return `Hole ${name}${feature.diameter_mm === undefined ? '' : `, Ø ${mm(feature.diameter_mm)} mm`}`;
    case 'bend': {
      const [front, rear] = feature.radii_mm ?? [];
      const radius = front === undefined || rear === undefined ? '' : Math.abs(front - rear) < 0.005 ? `, radius ${mm(front)} mm` : `, radius ${mm(front)} to ${mm(rear)} mm`;
      return `Bend ${name}, ${(feature.turn_deg ?? 0).toFixed(1)}°${radius}`;
    }
    case 'rivet':
      return `Rivet ${feature.id.replace('rivet:', '')} of ${name}, head Ø ${mm(feature.diameter_mm ?? 0)} mm`;
    default:
      return `Point ${name}`;
  }
}

/** Keeps what was read of a plate until the body changes. */
export class FeatureStore {
  private known = new Map<string, Promise<Feature[]>>();
  private have = new Map<string, Feature[]>();

  forget(): void {
    this.known = new Map();
    this.have = new Map();
  }

  /** What is known at once; asks for it where it is not. */
  at(reading: Reading, plate: string): Feature[] {
    void this.of(reading, plate);
    return this.have.get(plate) ?? [];
  }

  of(reading: Reading, plate: string): Promise<Feature[]> {
    const known = this.known.get(plate);
    if (known) return known;
    const { have } = this;
    const asked = fetchFeatures(reading, plate).then(
      (features) => {
        have.set(plate, features);
        return features;
      },
      // A plate that is gone has nothing to point at; the sheet says by itself that it is out of date.
      () => [],
    );
    this.known.set(plate, asked);
    return asked;
  }
}

/** Of a place in the body: where it is seen (px), and how far it is from the eye (mm). */
export interface Seen {
  x: number;
  y: number;
  depth: number;
}

interface Near {
  feature: Feature;
  rank: number;
  off: number;
}

function offSegment(x: number, y: number, a: Seen, b: Seen): { off: number; share: number } {
  const dx = b.x - a.x;
  const dy = b.y - a.y;
  const square = dx * dx + dy * dy;
  const share = square > 0 ? Math.min(1, Math.max(0, ((x - a.x) * dx + (y - a.y) * dy) / square)) : 0;
  return { off: Math.hypot(x - a.x - share * dx, y - a.y - share * dy), share };
}

export function insideOf(x: number, y: number, ring: { x: number; y: number }[]): boolean {
  let inside = false;
  ring.forEach((a, k) => {
    const b = ring[(k + 1) % ring.length] ?? a;
    if (a.y > y !== b.y > y && x < a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x)) inside = !inside;
  });
  return inside;
}

/**
 * The feature under the pointer; `hitDepth` is how far off the metal under it is, or nothing where there is none.
 * Rivets come before openings, these before edges, and bends last.
 */
export function featureAt(features: Feature[], x: number, y: number, see: (place: number[]) => Seen, hitDepth: number | null): Feature | null {
  let best: Near | null = null;
  const offer = (feature: Feature, rank: number, off: number, depth: number): void => {
    if (off > NEAR_PX || (hitDepth !== null && depth > hitDepth + BEHIND_MM)) return;
    if (!best || rank < best.rank || (rank === best.rank && off < best.off)) best = { feature, rank, off };
  };
  for (const feature of features) {
    if (feature.kind === 'point') continue;
    if (feature.kind === 'rivet' && feature.at) {
      const seen = see(feature.at.body_mm);
      offer(feature, 0, Math.hypot(seen.x - x, seen.y - y), seen.depth);
      continue;
    }
    const rank = feature.kind === 'hole' ? 1 : feature.kind === 'edge' ? 2 : 3;
    for (const run of feature.runs) {
      const ring = run.body_mm.map(see);
      ring.slice(1).forEach((b, k) => {
        const a = ring[k] ?? b;
        const { off, share } = offSegment(x, y, a, b);
        offer(feature, rank, off, a.depth + share * (b.depth - a.depth));
      });
      if (rank === 1 && feature.at && insideOf(x, y, ring)) offer(feature, rank, 0, see(feature.at.body_mm).depth);
    }
  }
  return (best as Near | null)?.feature ?? null;
}
