// The body as read from its GLB: one part a plate or fitting, in body coordinates (mm; x back, z up).

import {
  Box3,
  Group,
  LineBasicMaterial,
  LineSegments,
  Matrix4,
  Mesh,
  SkinnedMesh,
  Vector3,
  type AnimationClip,
  type BufferGeometry,
  type Material,
  type Object3D,
} from 'three';
import { GLTFLoader } from 'three/addons/loaders/GLTFLoader.js';
import { creaseLines } from './creases';
import type { Look, Metals } from './metal';
import { Bend } from './strips';

/** How a part leaves when the body is drawn apart. */
export interface Leave {
  /** Where it goes (mm). */
  by: Vector3;
  /** When it starts (s), of all parts together. */
  start_s: number;
  takes_s: number;
}

export interface Part {
  id: string;
  kind: 'plate' | 'fitting';
  assembly: string;
  metal: string;
  /** Step of the order of assembly, from 1; of a fitting 0. */
  step: number;
  /** Stands at nought unless the body is drawn apart. */
  object: Group;
  meshes: Mesh[];
  edges: LineSegments[];
  /** Formed and in place. */
  bounds: Box3;
  bend: Bend | null;
  leave: Leave | null;
}

// Facets of a curved plate meet at less than this, corners of a plate at more.
const CREASE_DEGREES = 32;

/** Lines of a look; those of an outline take the ink of the paper. */
const INK: Record<Look, LineBasicMaterial> = {
  plain: new LineBasicMaterial({ color: '#2b2c30' }),
  picked: new LineBasicMaterial({ color: '#4c0f18' }),
  lit: new LineBasicMaterial({ color: '#4c0f18' }),
  faint: new LineBasicMaterial({ color: '#2b2c30', transparent: true, opacity: 0.22, depthWrite: false }),
  outline: new LineBasicMaterial({ color: '#2b2c30' }),
};

export const inks: readonly LineBasicMaterial[] = Object.values(INK);

/** Ink of outlines, on the paper. */
export const outlineInk: LineBasicMaterial = INK.outline;

/** Lines that lie on the paper and not on metal. */
export function setPaperInk(colour: string): void {
  INK.outline.color.setStyle(colour);
  INK.faint.color.setStyle(colour);
}

interface Extras {
  plate?: string;
  kind?: string;
  assembly?: string;
  metal?: string;
  step?: number;
}

export class Body {
  readonly parts = new Map<string, Part>();
  readonly root = new Group();
  /** Time (s) that drawing everything apart takes. */
  readonly apart_s: number;

  constructor(scene: Object3D, clips: AnimationClip[]) {
    // Turned back from metres with y up to millimetres with z up.
    scene.scale.setScalar(1000);
    scene.rotation.x = Math.PI / 2;
    scene.updateMatrixWorld(true);
    const form = clips.find((clip) => clip.name === 'form');
    const leaves = leavesOf(clips.find((clip) => clip.name === 'draw-apart'));
    this.apart_s = Math.max(0, ...[...leaves.values()].map((leave) => leave.start_s + leave.takes_s));
    const holders = new Map<string, Object3D>();
    const found: Object3D[] = [];
    scene.traverse((object) => {
      const extras = object.userData as Extras & { strips_of?: string };
      if (typeof extras.strips_of === 'string') holders.set(extras.strips_of, object);
      if (typeof extras.plate === 'string') found.push(object);
    });
    for (const object of found) this.addPart(object, form, (id) => leaves.get((holders.get(id) ?? object).name) ?? null);
  }

  private addPart(object: Object3D, form: AnimationClip | undefined, leaveOf: (id: string) => Leave | null): void {
    const extras = object.userData as Extras;
    const id = extras.plate ?? '';
    if (this.parts.has(id)) return;
    const read: Mesh[] = [];
    object.traverse((child) => {
      if (child instanceof Mesh) read.push(child);
    });
    if (read.length === 0) return;
    const group = new Group();
    group.userData = { plate: id };
    let bend: Bend | null = null;
    const meshes = read.map((mesh) => {
      if (mesh instanceof SkinnedMesh) bend ??= Bend.of(mesh, form);
      const still = stillMesh(mesh);
      group.add(still);
      return still;
    });
    const edges = meshes.map((mesh) => {
      const lines = new LineSegments(creaseLines(mesh.geometry as BufferGeometry, CREASE_DEGREES), INK.plain);
      lines.raycast = () => undefined;
      mesh.add(lines);
      return lines;
    });
    const own = bend as Bend | null;
    if (own) giveStrips(own, meshes, edges);
    this.root.add(group);
    this.parts.set(id, {
      id,
      kind: extras.kind === 'fitting' ? 'fitting' : 'plate',
      assembly: extras.assembly ?? '',
      metal: extras.metal ?? '',
      step: extras.step ?? 0,
      object: group,
      meshes,
      edges,
      bounds: new Box3().setFromObject(group, true),
      bend: own,
      leave: leaveOf(id),
    });
  }

  partOf(object: Object3D | null): Part | null {
    for (let at = object; at; at = at.parent) {
      const id = (at.userData as Extras).plate;
      if (typeof id === 'string') return this.parts.get(id) ?? null;
    }
    return null;
  }

  dress(metals: Metals, lookOf: (part: Part) => Look | 'hidden'): void {
    for (const part of this.parts.values()) {
      const look = lookOf(part);
      part.object.visible = look !== 'hidden';
      if (look === 'hidden') continue;
      for (const mesh of part.meshes) {
        mesh.material = metals.material(part.metal, part.kind === 'fitting', look, mesh.geometry.hasAttribute('color'));
      }
      for (const lines of part.edges) lines.material = INK[look];
    }
  }

  bounds(visibleOnly: boolean): Box3 {
    const all = new Box3();
    for (const part of this.parts.values()) if (!visibleOnly || part.object.visible) all.union(part.bounds);
    return all;
  }

  /** Takes the parts of another body in place of its own of the same ids, and gives up those that are gone. */
  adopt(other: Body | null, gone: readonly string[]): void {
    for (const id of [...(other?.parts.keys() ?? []), ...gone]) {
      const part = this.parts.get(id);
      if (!part) continue;
      part.object.removeFromParent();
      for (const mesh of part.meshes) mesh.geometry.dispose();
      for (const lines of part.edges) lines.geometry.dispose();
    }
    for (const id of gone) this.parts.delete(id);
    for (const [id, part] of other?.parts ?? []) {
      this.root.attach(part.object);
      this.parts.set(id, part);
    }
  }

  dispose(): void {
    for (const part of this.parts.values()) {
      for (const mesh of part.meshes) mesh.geometry.dispose();
      for (const lines of part.edges) lines.geometry.dispose();
    }
  }
}

/** By the name of the node that moves. */
function leavesOf(clip: AnimationClip | undefined): Map<string, Leave> {
  const leaves = new Map<string, Leave>();
  for (const track of clip?.tracks ?? []) {
    const name = track.name.replace(/\.position$/, '');
    const [end = 0, start = 0] = [...track.times].reverse();
    leaves.set(name, { by: new Vector3().fromArray(track.values, track.values.length - 3), start_s: start, takes_s: end - start });
  }
  return leaves;
}

/** The same mesh in millimetres of the body, without a skin: drawn, picked and cut many times as fast. */
function stillMesh(mesh: Mesh): Mesh {
  const geometry = mesh.geometry as BufferGeometry;
  // Plates are written in millimetres under nodes that turn them there and back: exactly as written is best.
  const off = mesh.matrixWorld.elements.reduce((most, x, k) => Math.max(most, Math.abs(x - (IDENTITY.elements[k] ?? 0))), 0);
  if (off > 1e-4) geometry.applyMatrix4(mesh.matrixWorld);
  const still = new Mesh(geometry, mesh.material);
  still.name = mesh.name;
  return still;
}

const IDENTITY = new Matrix4();

function giveStrips(bend: Bend, meshes: Mesh[], edges: LineSegments[]): void {
  const taken: [BufferGeometry, Uint8Array, LineSegments | undefined][] = [];
  meshes.forEach((mesh, k) => {
    const geometry = mesh.geometry as BufferGeometry;
    const strips = geometry.getAttribute('skinIndex');
    if (!strips) return;
    const stripOf = Uint8Array.from({ length: strips.count }, (_, vertex) => strips.getX(vertex));
    geometry.deleteAttribute('skinIndex');
    geometry.deleteAttribute('skinWeight');
    taken.push([geometry, stripOf, edges[k]]);
  });
  bend.whenFirstBent(() => {
    for (const [geometry, stripOf, lines] of taken) {
      bend.carry(geometry, stripOf);
      if (lines) bend.carryLines(lines, geometry);
    }
  });
}

export async function readBody(bytes: ArrayBuffer): Promise<Body> {
  const gltf = await new GLTFLoader().parseAsync(bytes, '');
  const own = new Set<Material>();
  gltf.scene.traverse((object) => {
    if (object instanceof Mesh) own.add(object.material as Material);
    if (object instanceof SkinnedMesh) object.skeleton.dispose();
  });
  const body = new Body(gltf.scene, gltf.animations);
  own.forEach((material) => material.dispose());
  return body;
}
