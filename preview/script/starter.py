"""The starter scene: a small commented script to begin from."""

from __future__ import annotations

import json

_SCENE = """\
# A scene for `preview`. Metres, degrees clockwise from north, kelvin, per cent; 12 ft, 80 cm, 5 ft 6 in are read too.
# x runs to the right (east), y away from the camera (north), z up. `preview check` says what is wrong with a script,
# `preview check --explain` what was filled in, `preview frame` makes the picture, `preview coverage` says what is in shot.
title: TITLE

set:
  - ground: {material: grass}
  - box: {name: path, at: [0, 0.2], size: [1.4, 6, 0.03], material: gravel}
  - house:
      name: cottage
      at: [0, 8]                  # the middle of its plan; its front looks south, towards the camera
      size: [8, 5]                # along the front, and deep
      roof: {shape: gable, pitch: 38 deg}
      porch: {depth: 1.8}
      doors: [{from_left: 3.55}]
      windows: [{from_left: 1.1, size: [1.1, 1.3]}]
  - trees: {name: apple trees, kind: pear, at: [[-6.5, 5.5], [-8.5, 9.5]], height: [4, 4.6], seed: 3}
  - trees: {name: tree line, kind: broadleaf, along: [[-50, 26], [4, 36]], count: 24, height: [8, 11]}

cast:
  - {name: Ines, at: [0.5, 1.6], facing: 190 deg, height: 1.70, skin: light, hair: red, top: cloth, bottom: denim}

camera:
  format: super35-3perf
  lens: {focal: 35 mm, stop: 2.0}
  at: [3, -5.2, 1.5]
  aim: {of: Ines.eyes, offset: [-0.6, 0, 0.15]}      # a named place, here moved a little; [x, y, z] does as well
  focus: Ines.eyes
  aspect: 1.85
  iso: 1600
  balance: 4400 K

fixtures:
  - name: moon
    moon: {azimuth: 235 deg, elevation: 40 deg, lux: 0.25}

  - name: moon key                # what the moon is too weak for
    head: hmi-fresnel-2500
    at: [-8, -1.5, 4.5]
    aim: Ines.face
    level: 40 %                   # or -1.3 stops
    through:                      # from the head outwards
      - {gel: eighth-ctb}
      - {frame: 8x8 ft, cloth: half-grid, away: 2}

  - name: fill
    head: led-mat-120cm
    at: [5.5, -6.5, 2.4]
    aim: Ines.chest
    level: 3 %

  - name: tree line wash
    head: hmi-fresnel-6000
    at: [-40, 8, 7]
    aim: [-20, 33, 5]
    level: 60 %
    through: [{gel: quarter-ctb}]

  - name: porch bulb              # seen in frame, with its true brightness
    practical: {kind: bulb, watts: 75, kelvin: 2700, at: cottage.porch.lamp}

  - name: kitchen window
    practical: {kind: window, luminance: 8, kelvin: 2800, at: "cottage.window[0]"}

  - name: night sky
    sky: {lux: 0.05}

marks:                            # where the meter is held
  - {name: Ines.face}

setups:                           # other cameras, and what moves for them
  tight: {camera: {lens: {focal: 85 mm}, at: [1.3, -2.7, 1.55], aim: {of: Ines.face, offset: [-0.1, 0, 0]}}}

looks:                            # the same light at other levels, colours and exposures
  colder: {camera: {balance: 3600 K}, fixtures: {porch bulb: {level: 60 %}}}
"""


def starter(title: str) -> str:
    """The text of a scene of this title that can be rendered as it stands."""
    # A JSON string is a YAML one, whatever quotes or colons the title holds.
    return _SCENE.replace("TITLE", json.dumps(title, ensure_ascii=False))
