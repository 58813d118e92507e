// How a rolled plate is bent: rigid strips, each hinged on its neighbour about a ruling, as the file holds them.
//
// Between flat and formed every hinge turns at a steady rate, so that lengths are kept at every stage. The vertices are
// moved here and not on the graphics card: cut, picking and ink lines then follow without knowing of strips.

import {
  Matrix4,
  Quaternion,
  Vector3,
  type AnimationClip,
  type BufferAttribute,
  type BufferGeometry,
  type KeyframeTrack,
  type LineSegments,
  type SkinnedMesh,
} from 'three';
import { firstAtPlace } from './creases';

interface Strip {
  /** Number of the strip that it hangs on, or −1. */
  parent: number;
  hinge: Vector3;
  formedAt: Vector3;
  flatAt: Vector3;
  flatTurn: Quaternion;
}

const STRAIGHT = new Quaternion();

/** A vertex buffer with what it holds while the plate is formed. */
interface Rest {
  now: BufferAttribute;
  formed: Float32Array;
  /** Directions are turned and not shifted. */
  directions: boolean;
  stripOf: ArrayLike<number>;
}

export class Bend {
  private stage = 1;
  private readonly rests: Rest[] = [];
  private readonly matrices: Matrix4[];
  private readonly geometries: BufferGeometry[] = [];
  private load: (() => void) | null = null;

  private constructor(private readonly strips: Strip[]) {
    this.matrices = strips.map(() => new Matrix4());
  }

  /** The strips of a skinned mesh, whose own geometry is still in metres with y up. */
  static of(mesh: SkinnedMesh, form: AnimationClip | undefined): Bend | null {
    const bones = mesh.skeleton.bones;
    const numbers = new Map(bones.map((bone, k) => [bone as object, k]));
    const tracks = new Map<string, KeyframeTrack>((form?.tracks ?? []).map((track) => [track.name, track]));
    const strips = bones.map((bone, k): Strip => {
      const inverse = mesh.skeleton.boneInverses[k]?.elements ?? new Matrix4().elements;
      const turn = tracks.get(`${bone.name}.quaternion`)?.values;
      const place = tracks.get(`${bone.name}.position`)?.values;
      return {
        parent: numbers.get(bone.parent as object) ?? -1,
        hinge: new Vector3(-(inverse[12] ?? 0), -(inverse[13] ?? 0), -(inverse[14] ?? 0)),
        formedAt: bone.position.clone(),
        flatAt: place ? new Vector3().fromArray(place) : bone.position.clone(),
        flatTurn: turn ? new Quaternion().fromArray(turn) : new Quaternion(),
      };
    });
    return strips.length > 1 ? new Bend(strips) : null;
  }

  get lambda(): number {
    return this.stage;
  }

  /** Sum of all turns between flat and formed (degrees), whichever way they go. */
  get turn_deg(): number {
    const turns = this.strips.filter((strip) => strip.parent >= 0).map((strip) => strip.flatTurn.angleTo(STRAIGHT));
    return (turns.reduce((sum, turn) => sum + turn, 0) * 180) / Math.PI;
  }

  /** Geometries are taken over when the plate is first bent: most plates never are. */
  whenFirstBent(load: () => void): void {
    this.load = load;
  }

  /** Takes over a geometry, in millimetres of the body, formed; `stripOf` is the strip of each vertex. */
  carry(geometry: BufferGeometry, stripOf: ArrayLike<number>): void {
    this.geometries.push(geometry);
    for (const name of ['position', 'normal']) {
      const now = geometry.getAttribute(name) as BufferAttribute | undefined;
      if (!now) continue;
      this.rests.push({ now, formed: Float32Array.from(now.array), directions: name === 'normal', stripOf });
    }
  }

  /** Takes over ink lines that run from vertex to vertex of a geometry taken over before. */
  carryLines(lines: LineSegments, of: BufferGeometry): void {
    const rest = this.rests.find((own) => own.now === of.getAttribute('position'));
    if (!rest) return;
    const own = lines.geometry.getAttribute('position').array as Float32Array;
    const both = new Float32Array(rest.formed.length + own.length);
    both.set(rest.formed);
    both.set(own, rest.formed.length);
    const first = firstAtPlace(both);
    this.carry(lines.geometry, Array.from({ length: own.length / 3 }, (_, k) => rest.stripOf[first[rest.now.count + k] ?? 0] ?? 0));
  }

  /** Where a point of the formed plate stands at the present stage: it goes with the nearest vertex. */
  follow(point: Vector3): Vector3 {
    const rest = this.rests[0];
    if (this.stage === 1 || !rest) return point.clone();
    let best = Infinity;
    let strip = 0;
    const { formed } = rest;
    for (let k = 0; k < rest.now.count; k += 1) {
      const off =
        ((formed[3 * k] ?? 0) - point.x) ** 2 + ((formed[3 * k + 1] ?? 0) - point.y) ** 2 + ((formed[3 * k + 2] ?? 0) - point.z) ** 2;
      if (off >= best) continue;
      best = off;
      strip = rest.stripOf[k] ?? 0;
    }
    return point.clone().applyMatrix4(this.matrices[strip] ?? new Matrix4());
  }

  /** Bends to a stage, from 0 (flat) to 1 (formed). */
  set(lambda: number): void {
    const stage = Math.min(1, Math.max(0, lambda));
    if (stage === this.stage) return;
    this.load?.();
    this.load = null;
    this.stage = stage;
    if (stage < 1) this.turnStrips();
    for (const rest of this.rests) {
      if (stage === 1) rest.now.array.set(rest.formed);
      else this.move(rest);
      rest.now.needsUpdate = true;
    }
    for (const geometry of this.geometries) {
      geometry.boundingSphere = null;
      geometry.boundingBox = null;
    }
  }

  private turnStrips(): void {
    const done = new Array<boolean>(this.strips.length).fill(false);
    const one = new Vector3(1, 1, 1);
    const at = new Vector3();
    const turn = new Quaternion();
    // As nodes of the file: each in the frame of the one that it hangs on.
    const stand = (k: number): Matrix4 => {
      const strip = this.strips[k];
      const own = this.matrices[k];
      if (!strip || !own) throw new Error('a strip hangs on a strip of the same plate');
      if (done[k]) return own;
      const parent = strip.parent >= 0 ? stand(strip.parent) : null;
      own.compose(
        at.lerpVectors(strip.flatAt, strip.formedAt, this.stage),
        turn.slerpQuaternions(strip.flatTurn, STRAIGHT, this.stage),
        one,
      );
      if (parent) own.premultiply(parent);
      done[k] = true;
      return own;
    };
    this.strips.forEach((_, k) => stand(k));
    // Only then from body coordinates of the formed plate.
    const back = new Matrix4();
    this.strips.forEach(({ hinge }, k) => this.matrices[k]?.multiply(back.makeTranslation(-hinge.x, -hinge.y, -hinge.z)));
  }

  private move({ formed, stripOf, now, directions }: Rest): void {
    const one = new Vector3();
    for (let k = 0, i = 0; i < formed.length; k += 1, i += 3) {
      const matrix = this.matrices[stripOf[k] ?? 0];
      if (!matrix) continue;
      one.fromArray(formed, i);
      if (directions) one.transformDirection(matrix);
      else one.applyMatrix4(matrix);
      one.toArray(now.array, i);
    }
  }
}
