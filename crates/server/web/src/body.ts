// The body as read from its GLB: one part a plate or fitting, in body coordinates (mm; x back, z up).

import {
  Box3,
  BufferGeometry,
  EdgesGeometry,
  Group,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  SkinnedMesh,
  type Material,
  type Object3D,
} from 'three';
import { GLTFLoader } from 'three/addons/loaders/GLTFLoader.js';
import type { Look, Metals } from './metal';

export interface Part {
  id: string;
  kind: 'plate' | 'fitting';
  assembly: string;
  metal: string;
  object: Object3D;
  meshes: Mesh[];
  edges: LineSegments[];
  bounds: Box3;
}

// Facets of a curved plate meet at less than this, corners of a plate at more.
const CREASE_DEGREES = 32;

const INK: Record<Look, LineBasicMaterial> = {
  plain: new LineBasicMaterial({ color: '#2b2c30' }),
  picked: new LineBasicMaterial({ color: '#4c0f18' }),
  faint: new LineBasicMaterial({ color: '#2b2c30', transparent: true, opacity: 0.22, depthWrite: false }),
};

export const inks: readonly LineBasicMaterial[] = Object.values(INK);

interface Extras {
  plate?: string;
  kind?: string;
  assembly?: string;
  metal?: string;
}

export class Body {
  readonly parts = new Map<string, Part>();
  /** Holds the file's own root, turned back from metres with y up to millimetres with z up. */
  readonly root = new Group();

  constructor(scene: Object3D) {
    this.root.scale.setScalar(1000);
    this.root.rotation.x = Math.PI / 2;
    this.root.add(scene);
    this.root.updateMatrixWorld(true);
    scene.traverse((object) => this.addPart(object));
  }

  private addPart(object: Object3D): void {
    const extras = object.userData as Extras;
    if (typeof extras.plate !== 'string' || this.parts.has(extras.plate)) return;
    const meshes: Mesh[] = [];
    object.traverse((child) => {
      if (child instanceof Mesh) meshes.push(child);
    });
    if (meshes.length === 0) return;
    const edges = meshes.map((mesh) => {
      const lines = new LineSegments(new EdgesGeometry(mesh.geometry as BufferGeometry, CREASE_DEGREES), INK.plain);
      lines.raycast = () => undefined;
      mesh.add(lines);
      return lines;
    });
    this.parts.set(extras.plate, {
      id: extras.plate,
      kind: extras.kind === 'fitting' ? 'fitting' : 'plate',
      assembly: extras.assembly ?? '',
      metal: extras.metal ?? '',
      object,
      meshes,
      edges,
      bounds: new Box3().setFromObject(object, true),
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
      const material = metals.material(part.metal, part.kind === 'fitting', look);
      for (const mesh of part.meshes) mesh.material = material;
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

/**
 * Rolled plates come with the strips by which they are formed. The sheet shows them formed and still, so their
 * strips are left aside: a plain mesh is drawn, picked and cut many times as fast.
 */
function setStill(scene: Object3D): void {
  const skinned: SkinnedMesh[] = [];
  scene.traverse((object) => {
    if (object instanceof SkinnedMesh) skinned.push(object);
  });
  for (const moving of skinned) {
    const geometry = moving.geometry as BufferGeometry;
    geometry.deleteAttribute('skinIndex');
    geometry.deleteAttribute('skinWeight');
    // Written in metres with y up; in millimetres like the others, so that edges are found as finely.
    geometry.rotateX(Math.PI / 2).scale(1000, 1000, 1000);
    const still = new Mesh(geometry, moving.material);
    still.name = moving.name;
    still.userData = moving.userData;
    still.rotation.x = -Math.PI / 2;
    still.scale.setScalar(0.001);
    moving.parent?.add(still);
    moving.removeFromParent();
    moving.skeleton.dispose();
  }
}

export async function readBody(bytes: ArrayBuffer): Promise<Body> {
  const gltf = await new GLTFLoader().parseAsync(bytes, '');
  setStill(gltf.scene);
  const own = new Set<Material>();
  gltf.scene.traverse((object) => {
    if (object instanceof Mesh) own.add(object.material as Material);
  });
  const body = new Body(gltf.scene);
  own.forEach((material) => material.dispose());
  return body;
}
