'use strict';
(() => {
const data = JSON.parse(document.getElementById('data').textContent);
const byId = id => document.getElementById(id);
const dark = matchMedia('(prefers-color-scheme: dark)');
const colour = name => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
const numbers = (text, Kind) => {
  const raw = atob(text), bytes = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
  return new Kind(bytes.buffer);
};
// One value a triangle corner, so that edges and flat triangles need nothing else.
const spread = (values, size, corners) => {
  const out = new Float32Array(size * corners.length);
  for (let i = 0; i < corners.length; i++)
    for (let k = 0; k < size; k++) out[size * i + k] = values[size * corners[i] + k];
  return out;
};
const low = data.low && {
  corners: numbers(data.low.corners, Uint32Array), positions: numbers(data.low.positions, Float32Array),
  normals: numbers(data.low.normals, Float32Array), tangents: numbers(data.low.tangents, Float32Array), uvs: numbers(data.low.uvs, Float32Array)
};
const spots = data.spots; // {finding, severity, point, uv}
let chosen = -1;

// ---- the layout -------------------------------------------------------------------------------------------------------------------------
const layout = (() => {
  const canvas = byId('layout'), pen = canvas.getContext('2d');
  let borders = null;
  const findBorders = () => {
    const ids = new Map(), id = new Uint32Array(low.uvs.length / 2);
    for (let v = 0; v < id.length; v++) {
      const key = low.uvs[2 * v] + ' ' + low.uvs[2 * v + 1];
      if (!ids.has(key)) ids.set(key, ids.size);
      id[v] = ids.get(key);
    }
    const edges = new Map();
    for (let i = 0; i < low.corners.length; i++) {
      const a = low.corners[i], b = low.corners[i % 3 === 2 ? i - 2 : i + 1];
      const key = Math.min(id[a], id[b]) * ids.size + Math.max(id[a], id[b]);
      edges.set(key, edges.has(key) ? null : [a, b]);
    }
    return [...edges.values()].filter(edge => edge);
  };
  const draw = () => {
    const [left, bottom, columns, rows] = data.tiles;
    const side = 1280 / Math.max(columns, rows * data.height / data.width), tall = side * data.height / data.width, edge = 14;
    canvas.width = Math.ceil(columns * side) + 2 * edge;
    canvas.height = Math.ceil(rows * tall) + 2 * edge;
    const x = u => edge + (u - left) * side, y = v => edge + (bottom + rows - v) * tall;
    pen.fillStyle = colour('--sheet');
    pen.fillRect(0, 0, canvas.width, canvas.height);
    for (const miss of data.misses) {
      const image = byId(miss.id);
      pen.imageSmoothingEnabled = false;
      if (image.complete && image.naturalWidth) pen.drawImage(image, x(miss.column), y(miss.row + 1), side, tall);
    }
    if (low) {
      const lines = (pairs, style, width) => {
        pen.strokeStyle = style;
        pen.lineWidth = width;
        pen.beginPath();
        for (const [a, b] of pairs) {
          pen.moveTo(x(low.uvs[2 * a]), y(low.uvs[2 * a + 1]));
          pen.lineTo(x(low.uvs[2 * b]), y(low.uvs[2 * b + 1]));
        }
        pen.stroke();
      };
      borders = borders || findBorders();
      if (low.corners.length <= 300000) {
        const all = [];
        for (let i = 0; i < low.corners.length; i++) all.push([low.corners[i], low.corners[i % 3 === 2 ? i - 2 : i + 1]]);
        lines(all, colour('--rule'), 1);
      }
      lines(borders, colour('--ink'), 2);
    }
    pen.strokeStyle = colour('--soft');
    pen.lineWidth = 1.5;
    for (let c = 0; c < columns; c++)
      for (let r = 0; r < rows; r++) pen.strokeRect(edge + c * side, edge + r * tall, side, tall);
    spots.forEach((spot, i) => {
      if (!spot.uv || i === chosen) return;
      mark(x(spot.uv[0]), y(spot.uv[1]), colour('--' + spot.severity), 9);
    });
    if (chosen >= 0 && spots[chosen].uv) mark(x(spots[chosen].uv[0]), y(spots[chosen].uv[1]), colour('--accent'), 18);
  };
  const mark = (x, y, style, radius) => {
    pen.beginPath();
    pen.arc(x, y, radius, 0, 2 * Math.PI);
    pen.lineWidth = 7;
    pen.strokeStyle = colour('--sheet');
    pen.stroke();
    pen.lineWidth = 4;
    pen.strokeStyle = style;
    pen.stroke();
  };
  return {draw};
})();

// ---- the loupe --------------------------------------------------------------------------------------------------------------------------
(() => {
  const dialog = byId('loupe'), sheet = byId('sheet'), glass = byId('glass'), body = byId('loupe-table').tBodies[0];
  const around = 6, cell = glass.width / (2 * around + 1);
  let map = null, pixels = null, x = 0, y = 0, opener = null;
  const pen = sheet.getContext('2d', {willReadFrequently: true}), lens = glass.getContext('2d');
  const linear = s => s <= 0.04045 ? s / 12.92 : Math.pow((s + 0.055) / 1.055, 2.4);
  const grey = () => map.channels === 1 && map.ranges.length === 1;
  const stored = (px, py, c) => pixels.data[4 * (py * map.width + px) + (grey() ? 0 : c)];
  const raw = (code, c) => {
    const s = code / 255, [zero, one] = map.ranges[c];
    const v = zero + (map.kind === 'colour' ? linear(s) : s) * (one - zero);
    return map.kind === 'id' && one === 255 ? Math.round(v) : v;
  };
  const shown = v => Number.isInteger(v) ? String(v) : Number(v.toPrecision(5)).toString();
  const row = (head, text) => {
    const tr = body.insertRow(), th = document.createElement('th');
    th.scope = 'row';
    th.textContent = head;
    tr.append(th);
    tr.insertCell().textContent = text;
    return text;
  };
  const read = () => {
    x = Math.min(map.width - 1, Math.max(0, x));
    y = Math.min(map.height - 1, Math.max(0, y));
    pen.putImageData(pixels, 0, 0);
    const scale = Math.max(1, Math.round(map.width / 400)), reach = (around + 0.5) * 1;
    pen.lineWidth = scale;
    for (const [style, grow] of [['#000', 1.5 * scale], ['#fff', 0.5 * scale]]) {
      pen.strokeStyle = style;
      pen.strokeRect(x + 0.5 - reach - grow, y + 0.5 - reach - grow, 2 * (reach + grow), 2 * (reach + grow));
    }
    lens.fillStyle = colour('--field');
    lens.fillRect(0, 0, glass.width, glass.height);
    for (let j = -around; j <= around; j++)
      for (let i = -around; i <= around; i++) {
        const px = x + i, py = y + j;
        if (px < 0 || py < 0 || px >= map.width || py >= map.height) continue;
        lens.fillStyle = `rgb(${stored(px, py, 0)},${stored(px, py, grey() ? 0 : 1)},${stored(px, py, grey() ? 0 : 2)})`;
        lens.fillRect((i + around) * cell, (j + around) * cell, cell, cell);
      }
    for (const [style, grow] of [['#000', 1], ['#fff', -1]]) {
      lens.strokeStyle = style;
      lens.lineWidth = 2;
      lens.strokeRect(around * cell - grow, around * cell - grow, cell + 2 * grow, cell + 2 * grow);
    }
    body.replaceChildren();
    const sx = map.fullWidth / map.width, sy = map.fullHeight / map.height;
    const say = ['texel ' + row('texel', `${x}, ${y}` + (sx === 1 && sy === 1 ? '' : ` of the copy, from ${Math.floor(x * sx)}, ${Math.floor(y * sy)} of the map`))];
    row('u, v', `${shown(map.column + (x + 0.5) / map.width)}, ${shown(map.row + 1 - (y + 0.5) / map.height)}`);
    const names = map.firstChannel > 0 ? ['opacity'] : map.channels === 1 ? ['value'] : map.kind === 'colour' || map.kind === 'id' ? ['red', 'green', 'blue'] : ['x', 'y', 'z'];
    for (let c = 0; c < map.channels; c++) {
      const code = stored(x, y, c);
      say.push(row(names[c], `${shown(raw(code, c))}  ·  stored ${code} of 255`));
    }
    byId('loupe-say').textContent = say.join(', ');
  };
  const open = (number, from) => {
    map = data.maps[number];
    opener = from;
    sheet.width = map.width;
    sheet.height = map.height;
    pen.drawImage(byId(map.id), 0, 0);
    pixels = pen.getImageData(0, 0, map.width, map.height);
    byId('loupe-h').textContent = map.name;
    const steps = map.ranges.slice(0, map.channels).map(([zero, one]) => Math.abs(one - zero) / 510);
    byId('loupe-note').textContent = 'Values are those of the page’s copy in 8 bits'
      + (map.kind === 'id' ? ', which are exact.' : map.kind === 'colour' ? '.' : `: within ${shown(Math.max(...steps))} of its own.`)
      + (map.fullWidth === map.width ? '' : ` The copy has ${map.width} × ${map.height} texels, the map ${map.fullWidth} × ${map.fullHeight}.`);
    x = map.width >> 1;
    y = map.height >> 1;
    read();
    dialog.showModal();
    sheet.focus();
  };
  const point = event => {
    const box = sheet.getBoundingClientRect();
    x = Math.floor((event.clientX - box.left) / box.width * map.width);
    y = Math.floor((event.clientY - box.top) / box.height * map.height);
    read();
  };
  sheet.addEventListener('pointermove', point);
  sheet.addEventListener('pointerdown', point);
  sheet.addEventListener('keydown', event => {
    const step = event.shiftKey ? 10 : 1;
    const move = {ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step]}[event.key];
    if (!move) return;
    event.preventDefault();
    x += move[0];
    y += move[1];
    read();
  });
  byId('loupe-close').addEventListener('click', () => dialog.close());
  dialog.addEventListener('click', event => { if (event.target === dialog) dialog.close(); });
  dialog.addEventListener('close', () => opener && opener.focus());
  document.querySelectorAll('.plate').forEach((button, i) => button.addEventListener('click', () => open(i, button)));
})();

// ---- the view ---------------------------------------------------------------------------------------------------------------------------
const view = (() => {
  const canvas = byId('view'), box = canvas.parentElement;
  const none = reason => {
    canvas.hidden = true;
    byId('view-none').hidden = false;
    byId('view-none').textContent = reason;
    for (const control of byId('controls').elements) control.disabled = true;
    return {draw() {}, turnTo() {}};
  };
  if (!low) return none('The low poly has too many triangles for a page. All else here works.');
  const gl = canvas.getContext('webgl2', {antialias: true, alpha: false});
  if (!gl) return none('This browser shows no WebGL 2, so there is no view of the model. All else here works.');
  const anisotropy = gl.getExtension('EXT_texture_filter_anisotropic');
  const compile = (kind, source) => {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, '#version 300 es\nprecision highp float;\n' + source);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader) || 'shader');
    return shader;
  };
  const program = (vertex, fragment, attributes) => {
    const made = gl.createProgram();
    gl.attachShader(made, compile(gl.VERTEX_SHADER, vertex));
    gl.attachShader(made, compile(gl.FRAGMENT_SHADER, fragment));
    attributes.forEach((name, i) => gl.bindAttribLocation(made, i, name));
    gl.linkProgram(made);
    if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made) || 'program');
    const places = {};
    for (let i = 0; i < gl.getProgramParameter(made, gl.ACTIVE_UNIFORMS); i++) {
      const name = gl.getActiveUniform(made, i).name;
      places[name] = gl.getUniformLocation(made, name);
    }
    return {made, places};
  };
  // The frame is made as the bake made it: the rule says what is normalised, and where the bitangent comes from.
  const surface = program(`
    uniform mat4 eye;
    in vec3 position; in vec3 normal; in vec4 tangent; in vec2 uv; in vec3 paint;
    out vec3 painted; out vec3 at; out vec3 n; out vec3 t; out vec3 b; out float w; out vec2 st; out vec3 edge;
    void main() {
      painted = paint; at = position; n = normal; t = tangent.xyz; w = tangent.w; b = w * cross(n, t); st = uv;
      int corner = gl_VertexID % 3;
      edge = vec3(corner == 0, corner == 1, corner == 2);
      gl_Position = eye * vec4(position, 1.0);
    }`, `
    uniform sampler2D map, normals, occlusion, colours;
    uniform int mode, rule, normalKind;
    uniform bool hasOcclusion, hasColour, isPainted, wires;
    uniform vec3 zero, one, light, camera, clay, wire;
    uniform vec2 tile, occlusionRange, texels;
    in vec3 painted; in vec3 at; in vec3 n; in vec3 t; in vec3 b; in float w; in vec2 st; in vec3 edge;
    out vec4 result;
    vec3 toLinear(vec3 c) { return mix(c / 12.92, pow((c + 0.055) / 1.055, vec3(2.4)), step(0.04045, c)); }
    vec3 toStored(vec3 c) { c = clamp(c, 0.0, 1.0); return mix(c * 12.92, 1.055 * pow(c, vec3(1.0 / 2.4)) - 0.055, step(0.0031308, c)); }
    vec3 shadingNormal(vec2 uv) {
      if (normalKind == 0) return normalize(n);
      vec3 s = mix(zero, one, texture(normals, uv).rgb);
      if (normalKind == 2) return normalize(s);
      vec3 N = rule == 1 ? normalize(n) : n, T = rule == 1 ? normalize(t) : t;
      vec3 B = rule == 2 ? b : w * cross(N, T);
      return normalize(s.x * T + s.y * B + s.z * N);
    }
    void main() {
      vec2 uv = st - tile;
      vec3 shade;
      if (mode == 1) {
        shade = texture(map, uv).rgb;
      } else if (mode == 2) {
        vec2 k = floor(uv * texels), big = floor(uv * texels / 8.0);
        float small = mod(k.x + k.y, 2.0), large = mod(big.x + big.y, 2.0);
        shade = mix(mix(vec3(0.28, 0.33, 0.34), vec3(0.42, 0.47, 0.48), small), mix(vec3(0.78, 0.71, 0.6), vec3(0.92, 0.87, 0.78), small), large);
        shade *= 0.55 + 0.45 * clamp(dot(normalize(n), light), 0.0, 1.0);
      } else {
        vec3 N = shadingNormal(uv), V = normalize(camera - at), H = normalize(V + light);
        float open = hasOcclusion ? mix(occlusionRange.x, occlusionRange.y, texture(occlusion, uv).r) : 1.0;
        vec3 base = hasColour ? toLinear(texture(colours, uv).rgb) : isPainted ? toLinear(painted) : clay;
        float facing = max(dot(N, light), 0.0);
        float fresnel = 0.04 + 0.96 * pow(1.0 - max(dot(V, H), 0.0), 5.0);
        float gloss = pow(max(dot(N, H), 0.0), 42.0) * 5.5 * fresnel;
        vec3 sky = mix(vec3(0.16, 0.15, 0.14), vec3(0.42, 0.46, 0.52), 0.5 + 0.5 * N.y) * open;
        shade = toStored(base * (sky + facing * vec3(1.65, 1.58, 1.48)) + facing * gloss);
      }
      if (wires) {
        vec3 near = edge / fwidth(edge);
        shade = mix(wire, shade, smoothstep(0.5, 1.5, min(near.x, min(near.y, near.z))) * 0.75 + 0.25);
      }
      result = vec4(shade, 1.0);
    }`, ['position', 'normal', 'tangent', 'uv', 'paint']);
  const points = program(`
    uniform mat4 eye; uniform float size;
    in vec3 position; in vec4 paint;
    out vec4 tint;
    void main() { tint = paint; gl_Position = eye * vec4(position, 1.0); gl_Position.z -= 0.002 * gl_Position.w; gl_PointSize = size * (paint.a > 0.9 ? 1.6 : 1.0); }`, `
    uniform float strength; uniform vec3 rim;
    in vec4 tint; out vec4 result;
    void main() {
      float r = 2.0 * length(gl_PointCoord - 0.5);
      if (r > 1.0) discard;
      result = vec4(r > 0.62 ? rim : tint.rgb, strength);
    }`, ['position', 'paint']);

  const model = (parts, count) => {
    const made = gl.createVertexArray();
    gl.bindVertexArray(made);
    parts.forEach(([values, size, given], i) => {
      const place = given ?? i;
      gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW);
      gl.enableVertexAttribArray(place);
      gl.vertexAttribPointer(place, size, gl.FLOAT, false, 0, 0);
    });
    gl.bindVertexArray(null);
    return {made, count};
  };
  // Triangles of one tile are drawn together, with that tile's textures.
  const groups = new Map();
  for (let i = 0; i < low.corners.length; i += 3) {
    let u = 0, v = 0;
    for (let k = 0; k < 3; k++) {
      u += low.uvs[2 * low.corners[i + k]] / 3;
      v += low.uvs[2 * low.corners[i + k] + 1] / 3;
    }
    const key = data.udim ? Math.floor(u) + 10 * Math.floor(v) : 0;
    if (!groups.has(key)) groups.set(key, []);
    groups.get(key).push(low.corners[i], low.corners[i + 1], low.corners[i + 2]);
  }
  const lows = [...groups.entries()].sort((a, b) => a[0] - b[0]).map(([key, corners]) => Object.assign(model([[spread(low.positions, 3, corners), 3],
    [spread(low.normals, 3, corners), 3], [spread(low.tangents, 4, corners), 4], [spread(low.uvs, 2, corners), 2]], corners.length),
    {column: data.udim ? (key % 10 + 10) % 10 : 0, row: data.udim ? Math.floor(key / 10) : 0}));
  const highs = data.high.map(mesh => {
    const corners = numbers(mesh.corners, Uint32Array);
    const parts = [[spread(numbers(mesh.positions, Float32Array), 3, corners), 3, 0], [spread(numbers(mesh.normals, Float32Array), 3, corners), 3, 1]];
    if (mesh.colours) parts.push([spread(numbers(mesh.colours, Float32Array), 3, corners), 3, 4]);
    return Object.assign(model(parts, corners.length), {painted: Boolean(mesh.colours)});
  });

  const loaded = new Map();
  const blank = gl.createTexture();
  gl.bindTexture(gl.TEXTURE_2D, blank);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, 1, 1, 0, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array([128, 128, 128, 255]));
  const texture = map => {
    if (!map) return blank;
    if (loaded.has(map.id)) return loaded.get(map.id);
    const image = byId(map.id);
    if (!image.complete || !image.naturalWidth) return blank; // a later drawing has it
    const made = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, made);
    gl.pixelStorei(gl.UNPACK_FLIP_Y_WEBGL, true);
    gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, false);
    gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, image);
    const exact = map.kind === 'id';
    if (!exact) gl.generateMipmap(gl.TEXTURE_2D);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, exact ? gl.NEAREST : gl.LINEAR_MIPMAP_LINEAR);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, exact ? gl.NEAREST : gl.LINEAR);
    const wrap = data.udim ? gl.CLAMP_TO_EDGE : gl.REPEAT;
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, wrap);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, wrap);
    if (anisotropy && !exact) gl.texParameterf(gl.TEXTURE_2D, anisotropy.TEXTURE_MAX_ANISOTROPY_EXT, 8);
    loaded.set(map.id, made);
    return made;
  };
  const find = (role, group) => data.maps.find(map => map.role === role && map.firstChannel === 0 && map.column === group.column && map.row === group.row);

  // what can be shown: lit, each map, the checker
  const select = byId('surface');
  const option = (value, text) => {
    const made = document.createElement('option');
    made.value = value;
    made.textContent = text;
    select.append(made);
  };
  const roles = [...new Set(data.maps.map(map => map.role))];
  option('lit', roles.includes('normal') || roles.includes('object-normal') ? 'lit, with the maps' : 'lit');
  option('plain', 'lit, without any map');
  for (const role of roles) option('map ' + role, 'as stored: ' + role);
  option('checker', 'checks of ' + data.check + ' texels');

  const start = {yaw: 0.6, pitch: 0.25, away: 1, shift: [0, 0, 0]};
  let camera = structuredClone(start), asked = false;
  const [cx, cy, cz, radius] = data.around;
  const near = Math.PI / 12; // half the angle of view
  const add = (a, b, s) => [a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2]];
  const axes = () => {
    const {yaw, pitch} = camera;
    const back = [Math.sin(yaw) * Math.cos(pitch), Math.sin(pitch), Math.cos(yaw) * Math.cos(pitch)];
    const right = [Math.cos(yaw), 0, -Math.sin(yaw)];
    const up = [-Math.sin(yaw) * Math.sin(pitch), Math.cos(pitch), -Math.cos(yaw) * Math.sin(pitch)];
    return {back, right, up};
  };
  const look = (width, height) => {
    const {back, right, up} = axes();
    // the whole ball around the model fits into the narrower side
    const spread = Math.tan(near), aspect = width / height;
    const distance = camera.away * radius * 1.02 / Math.sin(Math.atan(spread * Math.min(1, aspect)));
    const middle = add([cx, cy, cz], camera.shift, 1), eye = add(middle, back, distance);
    const front = Math.max(distance - 2.5 * radius, distance * 0.01), behind = distance + 4 * radius;
    const f = 1 / spread, d = front - behind, dot = a => -(a[0] * eye[0] + a[1] * eye[1] + a[2] * eye[2]);
    const z = (behind + front) / d, m = new Float32Array(16);
    for (let k = 0; k < 3; k++) {
      m[4 * k] = f / aspect * right[k];
      m[4 * k + 1] = f * up[k];
      m[4 * k + 2] = z * back[k];
      m[4 * k + 3] = -back[k];
    }
    m[12] = f / aspect * dot(right);
    m[13] = f * dot(up);
    m[14] = z * dot(back) + 2 * behind * front / d;
    m[15] = -dot(back);
    return {matrix: m, eye, distance};
  };
  const rgb = name => {
    const value = parseInt(colour(name).slice(1), 16);
    return [value >> 16 & 255, value >> 8 & 255, value & 255].map(c => c / 255);
  };
  const checked = name => document.querySelector(`input[name=${name}]:checked`).value;
  const light = () => {
    const around = byId('light-around').value * Math.PI / 180, height = byId('light-height').value * Math.PI / 180;
    const {back, right, up} = axes();
    return add(add(add([0, 0, 0], back, Math.cos(around) * Math.cos(height)), right, Math.sin(around) * Math.cos(height)), up, Math.sin(height));
  };
  const bind = (unit, name, map) => {
    gl.activeTexture(gl.TEXTURE0 + unit);
    gl.bindTexture(gl.TEXTURE_2D, texture(map));
    gl.uniform1i(surface.places[name], unit);
  };
  const drawMesh = (pieces, isHigh, seen) => {
    const what = select.value, at = surface.places;
    gl.useProgram(surface.made);
    gl.uniformMatrix4fv(at.eye, false, seen.matrix);
    gl.uniform3fv(at.camera, seen.eye);
    gl.uniform3fv(at.light, light());
    gl.uniform3fv(at.clay, [0.5, 0.48, 0.45]);
    gl.uniform3fv(at.wire, dark.matches ? [0.02, 0.02, 0.02] : [0.08, 0.1, 0.12]);
    gl.uniform1i(at.wires, !isHigh && byId('wires').checked ? 1 : 0);
    gl.uniform1i(at.rule, ['as-interpolated', 'renormalised', 'bitangent-interpolated'].indexOf(data.frame));
    gl.uniform2f(at.texels, data.width / data.check, data.height / data.check);
    gl.uniform1i(at.mode, isHigh ? 0 : what === 'checker' ? 2 : what.startsWith('map ') ? 1 : 0);
    for (const piece of pieces) {
      const lit = !isHigh && what === 'lit';
      const normal = lit && (find('normal', piece) || find('object-normal', piece));
      const occlusion = lit && find('occlusion', piece), colours = lit && find('colour', piece);
      gl.uniform1i(at.normalKind, !normal ? 0 : normal.tangent ? 1 : 2);
      if (normal) {
        gl.uniform3fv(at.zero, normal.ranges.map(r => r[0]));
        gl.uniform3fv(at.one, normal.ranges.map(r => r[1]));
      }
      if (occlusion) gl.uniform2fv(at.occlusionRange, occlusion.ranges[0]);
      gl.uniform1i(at.hasOcclusion, occlusion ? 1 : 0);
      gl.uniform1i(at.hasColour, colours ? 1 : 0);
      gl.uniform1i(at.isPainted, piece.painted && select.value === 'lit' ? 1 : 0);
      gl.uniform2f(at.tile, isHigh ? 0 : piece.column, isHigh ? 0 : piece.row);
      bind(0, 'map', !isHigh && what.startsWith('map ') && find(what.slice(4), piece));
      bind(1, 'normals', normal);
      bind(2, 'occlusion', occlusion);
      bind(3, 'colours', colours);
      gl.bindVertexArray(piece.made);
      if (isHigh) {
        gl.vertexAttrib4f(2, 1, 0, 0, 1);
        gl.vertexAttrib2f(3, 0, 0);
      }
      if (!piece.painted) gl.vertexAttrib3f(4, 1, 1, 1);
      gl.drawArrays(gl.TRIANGLES, 0, piece.count);
    }
  };
  const spotArray = gl.createVertexArray(), spotPlaces = gl.createBuffer(), spotPaints = gl.createBuffer();
  const drawSpots = seen => {
    const shown = spots.map((spot, i) => [spot, i]).filter(([spot]) => spot.point);
    if (!byId('marks').checked || !shown.length) return;
    gl.bindVertexArray(spotArray);
    gl.bindBuffer(gl.ARRAY_BUFFER, spotPlaces);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(shown.flatMap(([spot]) => spot.point)), gl.DYNAMIC_DRAW);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
    gl.bindBuffer(gl.ARRAY_BUFFER, spotPaints);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(shown.flatMap(([spot, i]) =>
      [...rgb(i === chosen ? '--accent' : '--' + spot.severity), i === chosen ? 1 : 0.8])), gl.DYNAMIC_DRAW);
    gl.enableVertexAttribArray(1);
    gl.vertexAttribPointer(1, 4, gl.FLOAT, false, 0, 0);
    gl.useProgram(points.made);
    gl.uniformMatrix4fv(points.places.eye, false, seen.matrix);
    gl.uniform1f(points.places.size, 13 * devicePixelRatio);
    gl.uniform3fv(points.places.rim, rgb('--sheet'));
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
    for (const [hidden, strength] of [[true, 0.3], [false, 1]]) { // faint where the model hides them
      gl[hidden ? 'disable' : 'enable'](gl.DEPTH_TEST);
      gl.uniform1f(points.places.strength, strength);
      gl.drawArrays(gl.POINTS, 0, shown.length);
    }
    gl.disable(gl.BLEND);
  };
  const render = () => {
    asked = false;
    const width = Math.max(1, Math.round(canvas.clientWidth * devicePixelRatio)), height = Math.max(1, Math.round(canvas.clientHeight * devicePixelRatio));
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
    }
    const mesh = checked('mesh'), tall = height > width;
    box.classList.toggle('tall', tall && mesh === 'both');
    const left = byId('view-left'), right = byId('view-right');
    left.hidden = false;
    left.textContent = mesh === 'high' ? data.highName : data.lowName;
    right.hidden = mesh !== 'both';
    right.textContent = data.highName;
    gl.enable(gl.DEPTH_TEST);
    gl.enable(gl.SCISSOR_TEST);
    const halves = mesh !== 'both' ? [[0, 0, width, height, mesh === 'high']]
      : tall ? [[0, height >> 1, width, height - (height >> 1), false], [0, 0, width, height >> 1, true]]
        : [[0, 0, width >> 1, height, false], [width >> 1, 0, width - (width >> 1), height, true]];
    for (const [x, y, w, h, isHigh] of halves) {
      gl.viewport(x, y, w, h);
      gl.scissor(x, y, w, h);
      gl.clearColor(...rgb('--field'), 1);
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      const seen = look(w, h);
      drawMesh(isHigh ? highs : lows, isHigh, seen);
      if (!isHigh) drawSpots(seen);
    }
    gl.bindVertexArray(null);
  };
  const draw = () => {
    if (!asked) {
      asked = true;
      requestAnimationFrame(render);
    }
  };
  const clamp = (v, from, to) => Math.min(to, Math.max(from, v));
  const turn = (dx, dy) => {
    camera.yaw -= dx;
    camera.pitch = clamp(camera.pitch + dy, -1.55, 1.55);
    draw();
  };
  const zoom = factor => {
    camera.away = clamp(camera.away * factor, 0.04, 6);
    draw();
  };
  const shift = (dx, dy) => {
    const {right, up} = axes(), unit = 2.2 * camera.away * radius / Math.min(canvas.clientWidth, canvas.clientHeight);
    camera.shift = add(add(camera.shift, right, -dx * unit), up, dy * unit);
    draw();
  };
  const moveLight = (id, by) => {
    const input = byId(id);
    input.value = Number(input.value) + by;
    draw();
  };
  // A mesh that the page has no copy of can't be chosen.
  if (!highs.length) for (const input of document.querySelectorAll('input[name=mesh]')) input.disabled = input.value !== 'low';

  const held = new Map();
  canvas.addEventListener('contextmenu', event => event.preventDefault());
  canvas.addEventListener('pointerdown', event => {
    canvas.setPointerCapture(event.pointerId);
    held.set(event.pointerId, event);
  });
  canvas.addEventListener('pointermove', event => {
    const before = held.get(event.pointerId);
    if (!before) return;
    const dx = event.clientX - before.clientX, dy = event.clientY - before.clientY;
    const other = [...held.values()].find(one => one.pointerId !== event.pointerId);
    if (other) {
      const gap = e => Math.hypot(e.clientX - other.clientX, e.clientY - other.clientY);
      if (gap(event) > 0) zoom(gap(before) / gap(event) || 1);
      shift(dx / 2, dy / 2);
    } else if (event.buttons & 2) {
      shift(dx, dy);
    } else {
      turn(dx * 0.008, dy * 0.008);
    }
    held.set(event.pointerId, event);
  });
  for (const end of ['pointerup', 'pointercancel']) canvas.addEventListener(end, event => held.delete(event.pointerId));
  canvas.addEventListener('wheel', event => {
    if (document.activeElement !== canvas && !event.ctrlKey) return; // the wheel scrolls the page until the view was chosen
    event.preventDefault();
    zoom(Math.exp(clamp(event.deltaY, -120, 120) * 0.002));
  }, {passive: false});
  canvas.addEventListener('keydown', event => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const by = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]}[event.key];
    if (by && event.shiftKey) {
      moveLight('light-around', 5 * by[0]);
      moveLight('light-height', 5 * by[1]);
    } else if (by) {
      turn(-0.12 * by[0], 0.12 * by[1]);
    } else if (event.key === '+' || event.key === '=') {
      zoom(0.85);
    } else if (event.key === '-') {
      zoom(1 / 0.85);
    } else if (event.key === 'Home') {
      camera = structuredClone(start);
      draw();
    } else {
      return;
    }
    event.preventDefault();
  });
  byId('nearer').addEventListener('click', () => zoom(0.8));
  byId('farther').addEventListener('click', () => zoom(1.25));
  byId('start').addEventListener('click', () => {
    camera = structuredClone(start);
    draw();
  });
  byId('controls').addEventListener('input', draw);
  byId('controls').addEventListener('submit', event => event.preventDefault());
  canvas.addEventListener('webglcontextlost', () => {
    byId('view-none').hidden = false;
    byId('view-none').textContent = 'The browser took the graphics memory away: load the page again to see the model.';
  });
  new ResizeObserver(draw).observe(canvas);
  dark.addEventListener('change', draw);
  const turnTo = point => {
    const away = [point[0] - cx, point[1] - cy, point[2] - cz];
    camera.yaw = Math.atan2(away[0], away[2]);
    camera.pitch = clamp(Math.atan2(away[1], Math.hypot(away[0], away[2])) * 0.6, -1.3, 1.3);
    camera.shift = away.map(v => v * 0.8);
    camera.away = 0.45;
    draw();
  };
  return {draw, turnTo};
})();

// ---- places of findings -----------------------------------------------------------------------------------------------------------------
const places = [...document.querySelectorAll('.spots button')];
for (const button of places) {
  button.addEventListener('click', () => {
    const number = Number(button.dataset.spot);
    chosen = chosen === number ? -1 : number;
    for (const other of places) other.setAttribute('aria-pressed', String(Number(other.dataset.spot) === chosen));
    if (chosen >= 0 && spots[chosen].point) view.turnTo(spots[chosen].point);
    view.draw();
    layout.draw();
  });
}
dark.addEventListener('change', layout.draw);
const draw = () => {
  view.draw();
  layout.draw();
};
Promise.all([...document.images].map(image => image.decode().catch(() => {}))).then(draw);
draw();
})();
