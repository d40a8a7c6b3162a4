r"""The compiled march: heat, vapour and liquid through one chain of nodes, implicit in time.

Equations. Over a cell of width dx, with fluxes J counted from outside to inside here (reports
turn the sign), water W = w dx and enthalpy H obey

    dW/dt = J_w(in) - J_w(out) + sources      J_w = g_v + g_l
    dH/dt = J_h(in) - J_h(out) + sources      J_h = q + h_v g_v + h_l g_l
    g_v = -delta dp/dx     g_l = -dPhi/dx     q = -lambda dT/dx
    H = [rho c + w_l c_w] (T - T0) dx + w_i [c_i (T - T0) - L_f] dx
    h_v = L + c_v (T - T0)     h_l = c_w (T - T0)

Phi is the Kirchhoff potential of liquid conductivity, the integral of K ds from dry: liquid flow
between two nodes of one material is then exact for any K, where averages of K miss most of a
front. Unknowns are T and u = ln(s + 1 kPa). Where there is ice the liquid and the vapour see
s_eff, the smooth larger one of s and the freezing suction s_f(T): s_eff^4 = s^4 + s_f^4 (s^4 less
1e-4 of itself, so that it meets s where ice is left out), so w_l = w(s_eff), w_i = w(s) - w_l and
p = p_sat exp(-s_eff/(rho R T)) is the pressure over ice without being told so.

Plane nodes store nothing but a film C max(0, u_sat - u), and the few nanometres of water that any
surface adsorbs, which give u an equation where p does not depend on it (over ice). Without a
film two layers that hold no liquid have no solution when vapour condenses between them. C makes
the film a stiff spring: 0.1 kg/m2 lowers u by 0.01, a suction of -10 Pa. Cells past saturation
overflow into the same kind of film. At the outer surface what the wall cannot take runs off by
k max(0, u_sat - u), stiff and monotone, so that rain needs no switching.

Time. SDIRK2 with g = 1 - 1/sqrt 2 (Alexander 1977): two stages that look like implicit Euler,
L-stable, nothing to restart after a jump, at home with rows that store nothing:

    M1 = M + g h F1,             F1 = F(t + g h)
    M+ = M + (1 - g) h F1 + g h F2,   F2 = F(t + h)

The state that is carried is M = (W, H), not (T, u). Each stage takes the storage and the fluxes
linearised at its last iterate, M + dM x and F + dF x: they satisfy the linear system exactly, so
balances close to round-off whatever the tolerance. What that hides is reported apart, as the
state defect: M carried against M recomputed from (T, u).

The 2 x 2 block tridiagonal matrix is eliminated from outside towards the room while it is being
assembled. A node that has hardly moved since its row was looked up is moved along its slopes
instead; as what counts as near shrinks with the step, the march stays of second order. One that
Newton hardly moves keeps its row for the rest of the stage.
Several paths stand in one matrix one after the other, and floating zones border it: a zone is a
node for its air and one for the radiation between its faces, linked to faces of paths by film and
area. Air between spaces is balanced at each iterate and stands in the zones' rows with its slopes
(`air`, `streams`). Paths at no zone march alone.

Files, in the order of import: `numbers` and `grids` (what indices mean), `compiled` (decorators;
`cache`), `curves`, `nodes`, `flows`, `links`, `air`, `streams`, `border`, `zones`, `elimination`,
`updates`, `newton`, `weather`, `steps`, `hours`. Everything is plain functions under `jit` (called
from Python), `inner` or `inlined`, without allocation, exceptions or text inside. None holds a
curve of a material, of saturation or of freezing: those are tables (`solver/curve_tables.py`).
"""
