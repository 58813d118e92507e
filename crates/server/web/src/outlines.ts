// Outlines of round metal as the eye sees them: the lines at which a surface turns away. Corners have ink lines anyway.

import { BufferAttribute, BufferGeometry, LineSegments, Vector3, type Mesh } from 'three';
import { outlineInk, type Part } from './body';
import { firstAtPlace } from './creases';

/** Every line between two triangles of a mesh, with the ways that both face. */
interface Folds {
  lines: Float32Array;
  faces: Float32Array;
}

function foldsOf(geometry: BufferGeometry): Folds {
  const positions = geometry.getAttribute('position').array;
  const index = geometry.index?.array ?? Uint32Array.from({ length: positions.length / 3 }, (_, k) => k);
  const same = firstAtPlace(positions as Float32Array);
  const corner = (k: number): Vector3 => new Vector3().fromArray(positions, 3 * k);
  const open = new Map<number, Vector3>();
  const lines: number[] = [];
  const faces: number[] = [];
  for (let i = 0; i + 2 < index.length; i += 3) {
    const abc = [0, 1, 2].map((k) => same[index[i + k] ?? 0] ?? 0) as [number, number, number];
    const [a, b, c] = abc.map(corner) as [Vector3, Vector3, Vector3];
    const way = b.clone().sub(a).cross(c.clone().sub(a)).normalize();
    abc.forEach((from, k) => {
      const to = abc[(k + 1) % 3] ?? from;
      const key = Math.min(from, to) * 0x4000000 + Math.max(from, to);
      const other = open.get(key);
      if (!other) {
        open.set(key, way);
        return;
      }
      open.delete(key);
      // Within a plane nothing turns away.
      if (other.dot(way) > 1 - 1e-9) return;
      lines.push(...corner(from).toArray(), ...corner(to).toArray());
      faces.push(...way.toArray(), ...other.toArray());
    });
  }
  return { lines: Float32Array.from(lines), faces: Float32Array.from(faces) };
}

export class Outlines {
  private readonly known = new Map<Mesh, Folds>();
  private readonly drawn = new Map<Mesh, LineSegments>();
  private readonly ways = new Map<Mesh, Vector3>();

  forget(): void {
    for (const lines of this.drawn.values()) lines.geometry.dispose();
    this.known.clear();
    this.drawn.clear();
    this.ways.clear();
  }

  hide(): void {
    for (const lines of this.drawn.values()) lines.visible = false;
  }

  /** Draws the outlines of parts as an eye far off in a direction sees them. A part bent meanwhile keeps its formed outline. */
  draw(parts: Part[], towardsEye: Vector3): void {
    this.hide();
    for (const mesh of parts.flatMap((part) => part.meshes)) {
      let lines = this.drawn.get(mesh);
      if (!lines) {
        lines = new LineSegments(new BufferGeometry(), outlineInk);
        lines.raycast = () => undefined;
        mesh.add(lines);
        this.drawn.set(mesh, lines);
        this.known.set(mesh, foldsOf(mesh.geometry as BufferGeometry));
      }
      const way = this.ways.get(mesh);
      if (!way || way.distanceToSquared(towardsEye) > 1e-12) {
        this.fill(mesh, lines, towardsEye);
        this.ways.set(mesh, towardsEye.clone());
      }
      lines.visible = true;
    }
  }

  private fill(mesh: Mesh, lines: LineSegments, { x, y, z }: Vector3): void {
    const folds = this.known.get(mesh);
    if (!folds) return;
    const { faces } = folds;
    const seen: number[] = [];
    for (let k = 0; 6 * k < faces.length; k += 1) {
      const i = 6 * k;
      const one = (faces[i] ?? 0) * x + (faces[i + 1] ?? 0) * y + (faces[i + 2] ?? 0) * z;
      const other = (faces[i + 3] ?? 0) * x + (faces[i + 4] ?? 0) * y + (faces[i + 5] ?? 0) * z;
      if (one > 0 !== other > 0) for (let n = 0; n < 6; n += 1) seen.push(folds.lines[i + n] ?? 0);
    }
    lines.geometry.dispose();
    lines.geometry = new BufferGeometry();
    lines.geometry.setAttribute('position', new BufferAttribute(Float32Array.from(seen), 3));
  }
}
