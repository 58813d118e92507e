//! What moves in a GLB: skins of rolled plates, and the two animations.

use crate::GlbNode;
use geom::math::sin_cos;
use gltf_json::accessor::{ComponentType, GenericComponentType, Type};
use gltf_json::animation::{Animation, Channel, Interpolation, Property, Sampler, Target};
use gltf_json::buffer::{self, Stride, View};
use gltf_json::mesh::Semantic;
use gltf_json::scene::UnitQuaternion;
use gltf_json::skin::Skin;
use gltf_json::validation::{Checked, USize64};
use gltf_json::{Accessor, Index, Node, Root, Value};
use solid::Strip;
use std::collections::BTreeMap;

/// Seconds from flat to formed: chosen by eye.
const FORM_S: f64 = 4.0;

/// Seconds between two parts that leave one after the other, and that each is on its way: chosen by eye.
const LEAVE_EVERY_S: f64 = 0.2;
const ON_THE_WAY_S: f64 = 0.6;

/// A shift or turn (mm, or parts of a unit quaternion) below which nothing moves.
const STILL: f64 = 1e-7;

/// A skinned mesh stands in metres with y up at the top of the scene, since a skin's own node moves nothing;
/// this takes a point of the body (mm, z up) there.
pub(crate) fn to_scene([x, y, z]: [f64; 3]) -> [f64; 3] {
    [x * 1e-3, z * 1e-3, -y * 1e-3]
}

/// The same for a direction.
pub(crate) fn direction_to_scene([x, y, z]: [f32; 3]) -> [f32; 3] {
    [x, z, -y]
}

/// Everything that moves, gathered while the parts are written.
pub(crate) struct Motions<'a> {
    root: &'a mut Root,
    /// First byte of what is gathered in the binary chunk.
    start: usize,
    bytes: Vec<u8>,
    /// Times and keys of both animations, and the view of them; they come last.
    keys: Vec<u8>,
    keys_view: Option<Index<View>>,
    /// Accessors of times that are there already, by their bits.
    times: BTreeMap<Vec<u32>, Index<Accessor>>,
    form: Animation,
    apart: Animation,
    run: Animation,
}

/// Where a sub-assembly that is carried along is at a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RideKey {
    /// Time (s).
    pub seconds: f64,
    /// Where its origin is in the frame of what carries it (mm).
    pub at: [f64; 3],
    /// How far it is turned about z, anticlockwise seen from above (rad).
    pub turn: f64,
}

/// A sub-assembly that is carried along.
#[derive(Clone, Debug, PartialEq)]
pub struct GlbRide {
    /// The sub-assembly.
    pub assembly: String,
    /// The sub-assembly that carries it, itself carried along; the ground if none.
    pub within: Option<String>,
    /// Its way, in order of time; it turns by less than half a turn from one to the next.
    pub keys: Vec<RideKey>,
}

/// Attributes of a skinned mesh.
pub(crate) struct SkinOf {
    pub(crate) skin: Index<Skin>,
    pub(crate) attributes: [(Checked<Semantic>, Index<Accessor>); 2],
}

impl<'a> Motions<'a> {
    /// `start` is the length of the binary chunk so far.
    pub(crate) fn new(root: &'a mut Root, start: usize) -> Self {
        Self {
            root,
            start,
            bytes: Vec::new(),
            keys: Vec::new(),
            keys_view: None,
            times: BTreeMap::new(),
            form: animation("form"),
            apart: animation("draw-apart"),
            run: animation("run"),
        }
    }

    pub(crate) fn root(&mut self) -> &mut Root {
        self.root
    }

    /// Strips of a rolled plate: the skin of its mesh, and the node that carries them under the
    /// sub-assembly.
    pub(crate) fn skin(&mut self, part: &GlbNode) -> Option<(SkinOf, Index<Node>)> {
        let own = part.skin.as_ref()?;
        let joints = self.chain(&part.name, &own.strips);
        let holder = self.root.push(Node {
            name: Some(format!("{}/strips", part.name)),
            children: Some(
                (own.strips.iter().zip(&joints))
                    .filter(|(strip, _)| strip.parent.is_none())
                    .map(|(_, joint)| *joint)
                    .collect(),
            ),
            extras: Some(
                serde_json::value::to_raw_value(&serde_json::json!({ "strips_of": part.name }))
                    .expect("a JSON value can be written as JSON"),
            ),
            ..Node::default()
        });
        let binds: Vec<f64> = own.strips.iter().flat_map(inverse_bind).collect();
        let binds = self.matrices(&binds);
        let skin = self.root.push(Skin {
            extensions: None,
            extras: None,
            inverse_bind_matrices: Some(binds),
            joints,
            name: Some(part.name.clone()),
            skeleton: None,
        });
        let strips: Vec<u8> = own.of_vertex.iter().flat_map(|&k| [k, 0, 0, 0]).collect();
        let weights: Vec<u8> = own.of_vertex.iter().flat_map(|_| [255, 0, 0, 0]).collect();
        let attributes = [
            (
                Checked::Valid(Semantic::Joints(0)),
                self.quads(&strips, false),
            ),
            (
                Checked::Valid(Semantic::Weights(0)),
                self.quads(&weights, true),
            ),
        ];
        Some((SkinOf { skin, attributes }, holder))
    }

    /// Nodes of the strips in their formed places, each under the one that it hangs on, with their keys.
    fn chain(&mut self, name: &str, strips: &[Strip]) -> Vec<Index<Node>> {
        let first = self.root.nodes.len();
        let index = |k: usize| Index::new((first + k) as u32);
        let formed = formed_shifts(strips);
        for (k, strip) in strips.iter().enumerate() {
            let own = formed[k];
            self.root.push(Node {
                name: Some(format!("{name}/strip-{}", k + 1)),
                translation: Some(own),
                // Said although it is none, because its animation starts from it.
                rotation: Some(UnitQuaternion([0.0, 0.0, 0.0, 1.0])),
                ..Node::default()
            });
            let flat: [f64; 3] = strip.flat_hinge.into();
            if (0..3).any(|i| (flat[i] - f64::from(own[i])).abs() > STILL) {
                let keys: Vec<f64> = flat.into_iter().chain(own.map(f64::from)).collect();
                self.key_form(index(k), Property::Translation, &keys, Type::Vec3);
            }
            if strip.flat_turn[..3].iter().any(|x| x.abs() > STILL) {
                let keys = [strip.flat_turn, [0.0, 0.0, 0.0, 1.0]].concat();
                self.key_form(index(k), Property::Rotation, &keys, Type::Vec4);
            }
        }
        for (k, strip) in strips.iter().enumerate() {
            if let Some(parent) = strip.parent {
                let children = &mut self.root.nodes[first + parent].children;
                children.get_or_insert_default().push(index(k));
            }
        }
        (0..strips.len()).map(index).collect()
    }

    fn key_form(&mut self, node: Index<Node>, path: Property, keys: &[f64], type_: Type) {
        let input = self.times(&[0.0, FORM_S]);
        let output = self.keys(keys, keys.len() / 2, type_);
        channel(&mut self.form, node, path, (input, output));
    }

    /// Keys by which a part leaves in its turn.
    pub(crate) fn leave(&mut self, node: Index<Node>, part: &GlbNode) {
        let Some(apart) = &part.apart else { return };
        if apart.by.amax() < STILL {
            return;
        }
        let start = LEAVE_EVERY_S * apart.turn as f64;
        let mut times = vec![0.0, start, start + ON_THE_WAY_S];
        times.dedup();
        let mut keys = vec![0.0; 3 * (times.len() - 1)];
        keys.extend(apart.by.iter());
        let input = self.times(&times);
        let output = self.keys(&keys, 3, Type::Vec3);
        channel(
            &mut self.apart,
            node,
            Property::Translation,
            (input, output),
        );
    }

    /// Keys by which a sub-assembly is carried along, and its place at the first of them.
    pub(crate) fn ride(&mut self, node: Index<Node>, ride: &GlbRide) {
        let Some(first) = ride.keys.first() else {
            return;
        };
        let own = &mut self.root.nodes[node.value()];
        own.translation = Some(first.at.map(|x| x as f32 + 0.0));
        own.rotation = Some(UnitQuaternion(about_z(first.turn).map(|x| x as f32 + 0.0)));
        let times: Vec<f64> = ride.keys.iter().map(|key| key.seconds).collect();
        let places: Vec<f64> = ride.keys.iter().flat_map(|key| key.at).collect();
        let turns: Vec<f64> = ride.keys.iter().flat_map(|key| about_z(key.turn)).collect();
        let input = self.times(&times);
        let output = self.keys(&places, 3, Type::Vec3);
        channel(&mut self.run, node, Property::Translation, (input, output));
        let output = self.keys(&turns, 4, Type::Vec4);
        channel(&mut self.run, node, Property::Rotation, (input, output));
    }

    fn times(&mut self, times: &[f64]) -> Index<Accessor> {
        let bits: Vec<u32> = times.iter().map(|t| (*t as f32).to_bits()).collect();
        if let Some(known) = self.times.get(&bits) {
            return *known;
        }
        let made = self.keys(times, 1, Type::Scalar);
        let accessor = &mut self.root.accessors[made.value()];
        // The format asks for the bounds of times.
        accessor.min = Some(Value::from(vec![times[0] as f32]));
        accessor.max = Some(Value::from(vec![times[times.len() - 1] as f32]));
        self.times.insert(bits, made);
        made
    }

    /// Numbers of an animation, `width` of them a key.
    fn keys(&mut self, numbers: &[f64], width: usize, type_: Type) -> Index<Accessor> {
        // Where the view lies is known at the end only.
        let view = match self.keys_view {
            Some(view) => view,
            None => self.view(0, None),
        };
        self.keys_view = Some(view);
        let offset = self.keys.len();
        self.keys.extend(bytes_of(numbers));
        self.root.push(Accessor {
            byte_offset: Some(USize64::from(offset)),
            ..accessor(view, numbers.len() / width, ComponentType::F32, type_)
        })
    }

    /// Inverse bind matrices in a view of their own.
    fn matrices(&mut self, numbers: &[f64]) -> Index<Accessor> {
        let offset = self.bytes.len();
        self.bytes.extend(bytes_of(numbers));
        let view = self.view(offset, None);
        let count = numbers.len() / 16;
        self.root
            .push(accessor(view, count, ComponentType::F32, Type::Mat4))
    }

    /// Four bytes a vertex.
    fn quads(&mut self, bytes: &[u8], normalized: bool) -> Index<Accessor> {
        let offset = self.bytes.len();
        self.bytes.extend(bytes);
        let view = self.view(offset, Some(buffer::Target::ArrayBuffer));
        self.root.push(Accessor {
            normalized,
            ..accessor(view, bytes.len() / 4, ComponentType::U8, Type::Vec4)
        })
    }

    fn view(&mut self, offset: usize, target: Option<buffer::Target>) -> Index<View> {
        self.root.push(View {
            buffer: Index::new(0),
            byte_length: USize64::from(self.bytes.len() - offset),
            byte_offset: Some(USize64::from(self.start + offset)),
            byte_stride: target.map(|_| Stride(4)),
            name: None,
            target: target.map(Checked::Valid),
            extensions: None,
            extras: None,
        })
    }

    /// Adds the animations that have something to move, and gives the bytes that were gathered.
    pub(crate) fn finish(mut self) -> Vec<u8> {
        if let Some(view) = self.keys_view {
            let view = &mut self.root.buffer_views[view.value()];
            view.name = Some("keys".to_owned());
            view.byte_offset = Some(USize64::from(self.start + self.bytes.len()));
            view.byte_length = USize64::from(self.keys.len());
            self.bytes.extend(self.keys);
        }
        for animation in [self.apart, self.form, self.run] {
            if !animation.channels.is_empty() {
                self.root.push(animation);
            }
        }
        self.bytes
    }
}

/// Shift of each strip's hinge against that of its parent in the formed plate, in 32 bits.
///
/// Each is measured from where its parent's own rounded shifts have come to, so that rounding does not
/// add up along the chain.
fn formed_shifts(strips: &[Strip]) -> Vec<[f32; 3]> {
    let mut shifts = vec![[0.0; 3]; strips.len()];
    let mut at: Vec<[f64; 3]> = vec![[0.0; 3]; strips.len()];
    let home = strips.iter().position(|strip| strip.parent.is_none());
    let home = home.unwrap_or(0);
    for k in (home..strips.len()).chain((0..home).rev()) {
        let from = strips[k].parent.map_or([0.0; 3], |parent| at[parent]);
        let hinge: [f64; 3] = strips[k].hinge.coords.into();
        shifts[k] = std::array::from_fn(|i| (hinge[i] - from[i]) as f32 + 0.0);
        at[k] = std::array::from_fn(|i| from[i] + f64::from(shifts[k][i]));
    }
    shifts
}

/// From metres with y up to a strip's own frame: body axes (mm) about its hinge. By columns.
fn inverse_bind(strip: &Strip) -> [f64; 16] {
    let [x, y, z]: [f64; 3] = strip.hinge.coords.into();
    [
        1e3, 0.0, 0.0, 0.0, // x of the scene
        0.0, 0.0, 1e3, 0.0, // y of the scene is z of the body
        0.0, -1e3, 0.0, 0.0, // z of the scene is −y of the body
        -x, -y, -z, 1.0,
    ]
}

/// Numbers in 32 bits.
fn bytes_of(numbers: &[f64]) -> impl Iterator<Item = u8> {
    // Adding zero turns −0 into 0.
    numbers.iter().flat_map(|x| (*x as f32 + 0.0).to_le_bytes())
}

/// A turn about z as a unit quaternion.
fn about_z(turn: f64) -> [f64; 4] {
    let (sin, cos) = sin_cos(turn / 2.0);
    [0.0, 0.0, sin, cos]
}

fn animation(name: &str) -> Animation {
    Animation {
        extensions: None,
        extras: None,
        channels: Vec::new(),
        name: Some(name.to_owned()),
        samplers: Vec::new(),
    }
}

fn channel(
    animation: &mut Animation,
    node: Index<Node>,
    path: Property,
    (input, output): (Index<Accessor>, Index<Accessor>),
) {
    let sampler = Index::push(
        &mut animation.samplers,
        Sampler {
            extensions: None,
            extras: None,
            input,
            interpolation: Checked::Valid(Interpolation::Linear),
            output,
        },
    );
    animation.channels.push(Channel {
        sampler,
        target: Target {
            extensions: None,
            extras: None,
            node,
            path: Checked::Valid(path),
        },
        extensions: None,
        extras: None,
    });
}

/// All numbers of a view.
pub(crate) fn accessor(
    view: Index<View>,
    count: usize,
    component: ComponentType,
    type_: Type,
) -> Accessor {
    Accessor {
        buffer_view: Some(view),
        byte_offset: None,
        count: USize64::from(count),
        component_type: Checked::Valid(GenericComponentType(component)),
        type_: Checked::Valid(type_),
        min: None,
        max: None,
        name: None,
        normalized: false,
        sparse: None,
        extensions: None,
        extras: None,
    }
}
