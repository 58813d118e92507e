//! What parts look like in a GLB.

use gltf_json::material::{
    EmissiveFactor, Material as GltfMaterial, PbrBaseColorFactor, PbrMetallicRoughness,
    StrengthFactor,
};

/// The look of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Material {
    /// Rolled brass.
    Brass,
    /// Rolled nickel silver.
    NickelSilver,
    /// Sheet of another alloy.
    OtherSheet,
    /// Turned or cast metal.
    TurnedMetal,
    /// Bright steel.
    Steel,
    /// Painted metal.
    DarkPaint,
    /// Matt white, to be coloured vertex by vertex.
    Chart,
    /// Matt grey: what something is held against.
    Plain,
}

impl Material {
    /// The look of a sheet, by the alloy that its metal begins with: `brass half-hard`.
    pub fn of_sheet(metal: &str) -> Self {
        let alloy = metal.replace(['-', '_'], " ");
        if alloy.starts_with("nickel silver") {
            Self::NickelSilver
        } else if alloy.starts_with("brass") {
            Self::Brass
        } else {
            Self::OtherSheet
        }
    }

    /// Its name in the file.
    pub fn name(self) -> &'static str {
        match self {
            Self::Brass => "brass",
            Self::NickelSilver => "nickel silver",
            Self::OtherSheet => "sheet metal",
            Self::TurnedMetal => "turned metal",
            Self::Steel => "steel",
            Self::DarkPaint => "dark paint",
            Self::Chart => "chart",
            Self::Plain => "plain grey",
        }
    }

    /// Its linear colour: red, green and blue.
    pub(crate) fn colour(self) -> [f32; 3] {
        self.look().0
    }

    /// Linear colour, metalness and roughness: chosen by eye.
    fn look(self) -> ([f32; 3], f32, f32) {
        match self {
            Self::Brass => ([0.72, 0.49, 0.17], 0.9, 0.42),
            Self::NickelSilver => ([0.64, 0.61, 0.54], 0.9, 0.38),
            Self::OtherSheet => ([0.62, 0.40, 0.28], 0.9, 0.45),
            Self::TurnedMetal => ([0.76, 0.60, 0.30], 0.95, 0.25),
            Self::Steel => ([0.47, 0.49, 0.52], 0.95, 0.35),
            Self::DarkPaint => ([0.035, 0.038, 0.045], 0.1, 0.65),
            Self::Chart => ([1.0, 1.0, 1.0], 0.0, 0.8),
            Self::Plain => ([0.40, 0.41, 0.42], 0.0, 0.8),
        }
    }

    pub(crate) fn to_gltf(self) -> GltfMaterial {
        let ([r, g, b], metallic, roughness) = self.look();
        GltfMaterial {
            name: Some(self.name().to_owned()),
            emissive_factor: EmissiveFactor([0.0; 3]),
            pbr_metallic_roughness: PbrMetallicRoughness {
                base_color_factor: PbrBaseColorFactor([r, g, b, 1.0]),
                metallic_factor: StrengthFactor(metallic),
                roughness_factor: StrengthFactor(roughness),
                ..PbrMetallicRoughness::default()
            },
            ..GltfMaterial::default()
        }
    }
}

impl From<body::Look> for Material {
    fn from(look: body::Look) -> Self {
        match look {
            body::Look::Turned => Self::TurnedMetal,
            body::Look::Steel => Self::Steel,
            body::Look::Dark => Self::DarkPaint,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Material;

    #[test]
    fn sheets_by_their_alloy() {
        assert_eq!(Material::of_sheet("brass half-hard"), Material::Brass);
        assert_eq!(
            Material::of_sheet("nickel-silver half-hard"),
            Material::NickelSilver
        );
        assert_eq!(Material::of_sheet("nickel silver"), Material::NickelSilver);
        assert_eq!(Material::of_sheet("copper"), Material::OtherSheet);
    }
}
