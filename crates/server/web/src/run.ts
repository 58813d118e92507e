// The train in motion as read from its file: rails, engine and tender, and marks where something comes nearest.

import {
  AnimationMixer,
  Box3,
  Color,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshBasicMaterial,
  MeshMatcapMaterial,
  type AnimationClip,
  type BufferGeometry,
  type Material,
  type Object3D,
} from 'three';
import { GLTFLoader } from 'three/addons/loaders/GLTFLoader.js';
import { creaseLines } from './creases';
import { plainBall } from './metal';

/** Marks of nearest approaches are named so. */
const MARK = /^nearest-/;

const INK = new LineBasicMaterial({ color: '#2b2c30' });
const CREASE_DEGREES = 32;

export class Run {
  private readonly mixer: AnimationMixer;
  private readonly length_s: number;

  constructor(
    readonly scene: Object3D,
    clips: AnimationClip[],
  ) {
    this.mixer = new AnimationMixer(scene);
    this.length_s = Math.max(0, ...clips.map((clip) => clip.duration));
    for (const clip of clips) this.mixer.clipAction(clip).play();
  }

  /** Stands at a share of the course, from 0 before it to 1 behind it. */
  set(share: number): void {
    // The last key itself would start the course anew.
    this.mixer.setTime(Math.min(share, 0.9999) * this.length_s);
    this.scene.updateMatrixWorld(true);
  }

  dispose(): void {
    this.mixer.stopAllAction();
    this.scene.traverse((object) => {
      if (object instanceof Mesh || object instanceof LineSegments) (object.geometry as BufferGeometry).dispose();
    });
  }

  /** Where engine and tender stand (mm). */
  train(): Box3 {
    const box = new Box3();
    this.scene.traverse((object) => {
      if (object instanceof Mesh && typeof object.userData.plate === 'string') box.expandByObject(object);
    });
    return box.isEmpty() ? box.setFromObject(this.scene) : box;
  }
}

export async function readRun(bytes: ArrayBuffer): Promise<Run> {
  const gltf = await new GLTFLoader().parseAsync(bytes, '');
  const { scene } = gltf;
  // Turned back from metres with y up to millimetres with z up.
  scene.scale.setScalar(1000);
  scene.rotation.x = Math.PI / 2;
  const made = new Map<string, Material>();
  const meshes: Mesh[] = [];
  scene.traverse((object) => {
    if (object instanceof Mesh) meshes.push(object);
  });
  for (const object of meshes) {
    const own = object.material as Material & { color?: Color };
    const isMark = MARK.test(object.name);
    const key = isMark ? 'mark' : own.uuid;
    let look = made.get(key);
    if (!look) {
      look = isMark
        ? new MeshBasicMaterial({ color: '#d3122e', depthTest: false })
        : new MeshMatcapMaterial({ color: lightened(own.color), matcap: plainBall(), polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
      made.set(key, look);
      own.dispose();
    }
    if (isMark) object.renderOrder = 9;
    else object.add(new LineSegments(creaseLines(object.geometry as BufferGeometry, CREASE_DEGREES), INK));
    object.material = look;
  }
  return new Run(scene, gltf.animations);
}

/** Dark paint would hide its own shape. */
function lightened(colour: Color | undefined): Color {
  return (colour ?? new Color('#bbbbbb')).clone().lerp(new Color('#ffffff'), 0.35);
}
