"""The starter scene: a small commented script to begin from."""

from __future__ import annotations

import json

_SCENE = """\
# A scene for `preview`. Metres, degrees clockwise from north, kelvin, per cent; 12 ft, 80 cm, 5 ft 6 in are read too.
# x runs to the right (east), y away from the camera (north), z up. `preview check` says what is wrong with a script,
# `preview check --explain` what was filled in, `preview frame` makes the picture.
title: TITLE

set:
  - ground: {material: grass}
  - house:
      name: cottage
      at: [0, 8]                  # the middle of its plan; its front looks south, towards the camera
      size: [7, 5]                # along the front, and deep
      roof: {shape: gable, pitch: 40 deg}
      porch: {depth: 1.8}
      doors: [{from_left: 3.2}]
      windows: [{from_left: 1.0, size: [1.1, 1.3]}]
      material: clapboard
  - trees: {name: birch, kind: bare, at: [[-6.5, 5]], height: [6, 6.5], seed: 3}
  - trees: {name: oak, kind: broadleaf, at: [[8, 12]], height: [7, 8], seed: 5}

cast:
  - {name: Ines, at: [0.8, 1.5], facing: 200 deg, height: 1.70}

camera:
  format: super35-3perf
  lens: {focal: 35 mm, stop: 2.0}
  at: [-1.5, -6, 1.5]
  aim: Ines.eyes                  # a named place; [x, y, z] does as well
  iso: 1600
  balance: 4300 K

fixtures:
  - name: moon
    moon: {azimuth: 285 deg, elevation: 40 deg, lux: 0.25}

  - name: moon key                # what the moon is too weak for
    head: hmi-fresnel-2500
    at: [-10, -2, 4.5]
    aim: Ines
    level: 30 %                   # or -1.5 stops
    through:
      - {frame: 8x8 ft, cloth: half-grid, away: 2}

  - name: porch bulb              # seen in frame, with its true brightness
    practical: {kind: bulb, watts: 40, kelvin: 2700, at: cottage.porch.lamp}

marks:                            # where the meter is held
  - {name: Ines.face}

setups:                           # other cameras, and what moves for them
  tight: {camera: {lens: {focal: 85 mm}, at: [-0.4, -2.6, 1.55]}}

looks:                            # the same light at other levels, colours and exposures
  colder: {camera: {balance: 3600 K}, fixtures: {porch bulb: {level: 60 %}}}
"""


def starter(title: str) -> str:
    """The text of a scene of this title that can be rendered as it stands."""
    # A JSON string is a YAML one, whatever quotes or colons the title holds.
    return _SCENE.replace("TITLE", json.dumps(title, ensure_ascii=False))
