"""Figures to cut to, changes, circles and the neck's angle, by docs/computations/set-up.md."""

import math

import numpy as np
from scipy.optimize import least_squares

import figures as fig


def circle(y, z):
    """(curvature, how far each point lies outside) of the circle with the least mean square of radial distances.

    Unknowns are the direction and distance of the tangent nearest to the middle point, and the curvature, so that a straight
    line is nothing special.
    """
    y, z = y - y.mean(), z - z.mean()
    scale = np.abs(y).max()

    def over(v):
        n = np.array([-math.sin(v[0]), math.cos(v[0])])
        h, k, along = v[1] * scale, v[2] / scale, y * n[0] + z * n[1]
        twice = k * (y**2 + z**2 - 2 * h * along + h**2) + 2 * (along - h)
        return twice / (1 + np.sqrt(np.maximum(1 + k * twice, 1e-12)))

    bend, slope, height = np.polyfit(y, z, 2)
    found = least_squares(over, [math.atan(slope), height / scale, -2 * bend * scale], x_scale=[0.01, 0.01, 0.1], jac="3-point",
                          xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return found.x[2] / scale, over(found.x)


def measured_actions(play, key):
    """Actions as measured, string by string, or None."""
    given = play.record.get("set_up", {}).get(key)
    if given is None:
        return None
    if isinstance(given, list):
        return np.array([fig.length_mm(value) for value in given])
    treble, bass = fig.length_mm(given["treble"]), fig.length_mm(given["bass"])
    m = play.lanes
    return np.array([treble + (bass - treble) * (i / (m - 1) if m > 1 else 0.0) for i in range(m)])


def changes(play):
    """For each string: measured at 1 and 12, action by relief, nut and saddle change; None when nothing was measured."""
    at_far = measured_actions(play, "action_at_12")
    if at_far is None:
        return None
    given = play.record["set_up"]
    now = fig.length_mm(given["relief"]) if "relief" in given else play.relief
    at_near = measured_actions(play, "action_at_1")
    at_near = np.full(play.lanes, play.action_near) if at_near is None else at_near
    tops, f, l = play.z - now * play.b, play.far, play.length
    if play.frets == 1:
        near, near_a = at_near, np.zeros(play.lanes)
    else:
        near, near_a = tops[:, 1] + at_near, play.a[:, 1]
    slope = (tops[:, f] + at_far - near) / (play.a[:, f] - near_a)
    n_now, s_now = near - slope * near_a, near + slope * (l - near_a)
    s_then = s_now - (play.relief - now) * play.b_saddle
    by_relief = n_now + play.a[:, f] / l * (s_then - n_now) - play.z[:, f] + play.relief * play.b[:, f] - at_far
    n, s = play.wished()
    return np.stack([at_near, at_far, by_relief, n - n_now, s - s_then], axis=1)


def neck(play, over_plane, saddle_changes):
    """(angle in degrees, plane at the saddle, shim or None), or None."""
    given = play.record.get("neck", {})
    if "bridge_height" not in given:
        return None
    plane = fig.length_mm(given["bridge_height"]) - float(np.mean(over_plane))
    joint = fig.length_mm(given["board_over_body"]) if "board_over_body" in given else play.board.crown_mm
    reach = play.board._across(1.0)[0] - play.joint_x
    shim = None
    if "pocket" in given and saddle_changes is not None:
        shim = -fig.length_mm(given["pocket"]) * float(np.mean(saddle_changes)) / reach
    return math.degrees(math.atan((plane - joint) / reach)), plane, shim
