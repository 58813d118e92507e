// The train in motion as read from its file: rails, engine and tender, and marks where something comes nearest.

import { AnimationMixer, Box3, Color, Mesh, MeshBasicMaterial, MeshMatcapMaterial, type AnimationClip, type Material, type Object3D } from 'three';
import { GLTFLoader } from 'three/addons/loaders/GLTFLoader.js';
import { plainBall } from './metal';

/** Marks of nearest approaches are named so. */
const MARK = /^nearest-/;

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
  scene.traverse((object) => {
    if (!(object instanceof Mesh)) return;
    const own = object.material as Material & { color?: Color };
    const isMark = MARK.test(object.name);
    const key = isMark ? 'mark' : own.uuid;
    let look = made.get(key);
    if (!look) {
      look = isMark ? new MeshBasicMaterial({ color: '#d3122e', depthTest: false }) : new MeshMatcapMaterial({ color: lightened(own.color), matcap: plainBall() });
      made.set(key, look);
      own.dispose();
    }
    if (isMark) object.renderOrder = 9;
    object.material = look;
  });
  return new Run(scene, gltf.animations);
}

/** Dark paint would hide its own shape. */
function lightened(colour: Color | undefined): Color {
  return (colour ?? new Color('#bbbbbb')).clone().lerp(new Color('#ffffff'), 0.35);
}
