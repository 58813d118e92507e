//! What routes share in the description of the interface: words of queries, parts of paths, kinds of bodies, and what
//! can happen to every request.

use std::collections::BTreeMap;

use axum::http::Method;
use body::{Scale, SheetPaper, WheelStandard};
use serde_json::{Value, json};
use utoipa::openapi::path::{Operation, ParameterBuilder, ParameterIn, PathItem};
use utoipa::openapi::schema::{KnownFormat, SchemaFormat, Type};
use utoipa::openapi::security::{
    ApiKey, ApiKeyValue, HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme,
};
use utoipa::openapi::{
    Content, ContentBuilder, Header, HeaderBuilder, Object, ObjectBuilder, OpenApi, Ref, RefOr,
    Required, Response, ResponseBuilder, Schema, ServerBuilder,
};
use utoipa::{IntoParams, IntoResponses};

use crate::Problem;
use crate::asked::on_off;
use crate::problem::{PROBLEM_JSON, ProblemKind};
use crate::routes::JSON;
use crate::routes::clearances::MOST_MM;
use crate::token::COOKIE;

/// The part of an address that names the model.
#[derive(IntoParams)]
#[into_params(parameter_in = Path)]
#[expect(dead_code, reason = "read by the description only")]
pub(crate) struct ModelPath {
    /// Name of the model: its file's name without `.toml`.
    #[param(example = "class-b")]
    model: String,
}

/// The parts of an address that name a plate.
#[derive(IntoParams)]
#[into_params(parameter_in = Path)]
#[expect(dead_code, reason = "read by the description only")]
pub(crate) struct PlatePath {
    /// Name of the model: its file's name without `.toml`.
    #[param(example = "class-b")]
    model: String,
    /// Id of the plate.
    #[param(example = "boiler-wrapper")]
    id: String,
}

/// What a word of a query, a part of a path or a header may be; the same name means the same everywhere. Nothing of
/// those that the route itself describes.
fn values_of(name: &str) -> Option<Object> {
    let own = match name {
        "model" | "id" | "group" | "tender" | "from" => text("^[a-z0-9-]{1,100}$"),
        "parts" => text("^[a-z0-9-]{1,100}(,[a-z0-9-]{1,100})*$"),
        "variant" | "from_variant" => text("^[a-z0-9-]{1,40}$"),
        "draft" => text("^[0-9a-f]{64}$"),
        "scale" => words(Scale::ALL.map(Scale::word)),
        "wheels" => words(WheelStandard::ALL.map(WheelStandard::word)),
        "paper" => words(SheetPaper::ALL.map(SheetPaper::word)),
        "rivets" | "still" | "least" => words([true, false].map(on_off)),
        "radius" | "reverse" | "crossover" | "spacing" | "transition" => ObjectBuilder::new()
            .schema_type(Type::Number)
            .minimum(Some(0.0))
            .maximum(Some(MOST_MM))
            .build(),
        "If-Match" => text(r#"^(\*|(W/)?"[!#-~]*"(, ?(W/)?"[!#-~]*")*)$"#),
        _ => return None,
    };
    Some(own)
}

fn text(pattern: &str) -> Object {
    ObjectBuilder::new()
        .schema_type(Type::String)
        .pattern(Some(pattern))
        .build()
}

fn words(all: impl IntoIterator<Item = &'static str>) -> Object {
    ObjectBuilder::new()
        .schema_type(Type::String)
        .enum_values(Some(all))
        .build()
}

/// Puts in what every route shares: who may ask, what can happen to any request, and headers.
pub(crate) fn complete(mut api: OpenApi) -> OpenApi {
    api.servers = Some(vec![ServerBuilder::new().url("/").build()]);
    let schemes = &mut api.components.get_or_insert_default().security_schemes;
    let bearer = HttpBuilder::new()
        .scheme(HttpAuthScheme::Bearer)
        .description(Some(
            "The token of a server on a network; a server on loopback asks for none",
        ))
        .build();
    schemes.insert("token".to_owned(), SecurityScheme::Http(bearer).into());
    let cookie = ApiKey::Cookie(ApiKeyValue::with_description(
        COOKIE,
        "The same, as a browser is given it by /?token=",
    ));
    schemes.insert("cookie".to_owned(), SecurityScheme::ApiKey(cookie).into());
    let none = SecurityRequirement::default();
    let by = |name: &str| SecurityRequirement::new::<_, _, String>(name, []);
    api.security = Some(vec![none, by("token"), by("cookie")]);
    let components = api.components.get_or_insert_default();
    for (kind, says, header) in SHARED {
        let made = problem_response(kind, says, header);
        components.responses.insert(kind.word().to_owned(), made);
    }
    for (path, item) in &mut api.paths.paths {
        for (method, operation) in operations(item) {
            complete_operation(path, &method, operation);
        }
    }
    api
}

/// A header of an answer, and what it says.
type HeaderSays = (&'static str, &'static str);

/// What can be wrong with many requests.
const SHARED: [(ProblemKind, &str, Option<HeaderSays>); 11] = [
    (
        ProblemKind::Request,
        "A query word that there is not, a value that it does not have, or a body that breaks off",
        None,
    ),
    (
        ProblemKind::NotFound,
        "No such model, plate, jig, sheet or file, or the draft is not kept",
        None,
    ),
    (
        ProblemKind::Model,
        "The model file cannot be built, this file of it cannot be made, or what was sent cannot be read; errors says where",
        None,
    ),
    (
        ProblemKind::Token,
        "On a network, a request without the token",
        Some(("WWW-Authenticate", "How the token is shown: Bearer")),
    ),
    (
        ProblemKind::Origin,
        "A write from a page of another site",
        None,
    ),
    (
        ProblemKind::TooLarge,
        "The body is over its limit; the detail says which",
        None,
    ),
    (
        ProblemKind::MediaType,
        "The body says that it is something else, or is compressed",
        Some(("Accept-Encoding", "identity, where the body was compressed")),
    ),
    (
        ProblemKind::Method,
        "Another method than those described",
        Some(("Allow", "Methods that there are")),
    ),
    (
        ProblemKind::Host,
        "A Host that is not this server, or none",
        None,
    ),
    (
        ProblemKind::Internal,
        "A fault of the server's own; its log says more",
        None,
    ),
    (
        ProblemKind::Busy,
        "Too much to do, or longer than the time limit",
        Some(("Retry-After", "Seconds after which asking again may help")),
    ),
];

fn operations(item: &mut PathItem) -> impl Iterator<Item = (Method, &mut Operation)> {
    let all = [
        (Method::GET, &mut item.get),
        (Method::PUT, &mut item.put),
        (Method::POST, &mut item.post),
    ];
    all.into_iter()
        .filter_map(|(method, own)| Some((method, own.as_mut()?)))
}

fn complete_operation(path: &str, method: &Method, operation: &mut Operation) {
    let mut kinds = vec![
        ProblemKind::Method,
        ProblemKind::Host,
        ProblemKind::Internal,
        ProblemKind::Busy,
    ];
    if path == "/health" {
        operation.security = Some(Vec::new());
    } else {
        kinds.push(ProblemKind::Token);
    }
    if *method != Method::GET {
        kinds.extend([
            ProblemKind::Origin,
            ProblemKind::TooLarge,
            ProblemKind::MediaType,
        ]);
    }
    for kind in kinds {
        let (status, made) = shared(kind);
        operation.responses.responses.entry(status).or_insert(made);
    }

    let responses = &mut operation.responses.responses;
    let is_tagged = responses.contains_key("304");
    for status in ["200", "204", "304"] {
        let Some(RefOr::T(response)) = responses.get_mut(status) else {
            continue;
        };
        if is_tagged || status == "204" {
            let says = "Names the content, for If-None-Match and, of a model file, If-Match";
            put_header(response, "ETag", says);
        }
        if status != "204" {
            put_header(response, "Cache-Control", "How long the answer may be kept");
        }
        let is_file = response.content.keys().any(|kind| kind != JSON);
        if status == "200" && is_file && path.starts_with("/v1/models/{model}/") {
            let says = "Name of the file, where it is to be saved and not shown";
            put_header(response, "Content-Disposition", says);
        }
    }
    for body in responses.values_mut() {
        if let RefOr::T(response) = body {
            response.content.values_mut().for_each(binary);
        }
    }
    if let Some(RefOr::T(body)) = &mut operation.request_body {
        body.content.values_mut().for_each(binary);
        if path.ends_with("/drafts") {
            // A text with nothing in it is one that is being edited.
            body.required = Some(Required::False);
        }
    }
    if is_tagged {
        let known = ParameterBuilder::new()
            .name("If-None-Match")
            .parameter_in(ParameterIn::Header)
            .required(Required::False)
            .description(Some(
                "Tags that the asker has; 304 if one of them is right. Anything else is no tag",
            ))
            .schema(Some(ObjectBuilder::new().schema_type(Type::String)))
            .build();
        operation
            .parameters
            .get_or_insert_default()
            .push(known.into());
    }
    for parameter in operation.parameters.iter_mut().flatten() {
        if let RefOr::T(parameter) = parameter
            && let Some(values) = values_of(&parameter.name)
        {
            parameter.schema = Some(values.into());
        }
    }
}

/// Bytes are described as bytes, not as numbers in a list.
fn binary(content: &mut RefOr<Content>) {
    let RefOr::T(content) = content else { return };
    if matches!(&content.schema, Some(RefOr::T(Schema::Array(_)))) {
        let bytes = ObjectBuilder::new()
            .schema_type(Type::String)
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::Binary)));
        content.schema = Some(bytes.build().into());
    }
}

/// A shared problem by its status, as a reference.
fn shared(kind: ProblemKind) -> (String, RefOr<Response>) {
    let place = format!("#/components/responses/{}", kind.word());
    let status = kind.status().as_str().to_owned();
    (status, RefOr::Ref(Ref::new(place)))
}

fn header(says: &str) -> Header {
    HeaderBuilder::new()
        .schema(Some(ObjectBuilder::new().schema_type(Type::String)))
        .description(Some(says))
        .build()
}

fn put_header(response: &mut Response, name: &str, says: &str) {
    let own = response.headers.entry(name.to_owned());
    own.or_insert_with(|| header(says).into());
}

/// The description of a problem, with an example.
fn problem_response(kind: ProblemKind, says: &str, own: Option<(&str, &str)>) -> RefOr<Response> {
    let content = ContentBuilder::new()
        .schema(Some(RefOr::<Schema>::Ref(Ref::from_schema_name("Problem"))))
        .example(Some(example(kind)))
        .build();
    let mut response = ResponseBuilder::new()
        .description(says)
        .content(PROBLEM_JSON, content)
        .build();
    put_header(&mut response, "Cache-Control", "no-store");
    if let Some((name, says)) = own {
        put_header(&mut response, name, says);
    }
    response.into()
}

fn example(kind: ProblemKind) -> Value {
    let place = match kind {
        ProblemKind::Request => (
            "scale",
            "scale has no value \"9mm\"",
            "choose among 4mm, 7mm",
        ),
        ProblemKind::NotFound => (
            "boiler-wraper",
            "there is no plate boiler-wraper",
            "did you mean boiler-wrapper?",
        ),
        ProblemKind::Model => (
            "boiler.pich",
            "this key is not known",
            "did you mean boiler.pitch?",
        ),
        _ => return json!(Problem::new(kind, kind.title())),
    };
    json!(Problem::at(kind, place.0, place.1, place.2))
}

/// What can be wrong with a request for something of a model: what is in the address, and what is in the file.
pub(crate) struct ModelProblems;

impl IntoResponses for ModelProblems {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        let kinds = [
            ProblemKind::Request,
            ProblemKind::NotFound,
            ProblemKind::Model,
        ];
        kinds.map(shared).into()
    }
}
