package runplan

import (
	"math/rand/v2"
	"testing"

	"sandwick/pivot"
)

// Joining slices moves no ground: every zone keeps its area, every slice lies in
// the joined one that its timer comes from, whatever the arm's azimuth.
func TestJoined(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 5))
		m := circle72(t, "A", seed)
		m.ArmDeg = pivot.Azimuth(360 * rng.Float64())
		if seed%2 == 1 {
			m.Stops = &pivot.Arc{From: 40, To: 310}
			m.ArmDeg = 100
		}
		m.EndGunArcs, m.EndGunM3H = []pivot.Arc{{From: 350, To: 20}}, 20
		p := farm(central(t), 10, m)
		w, err := newWorld(&p)
		if err != nil {
			t.Fatal(err)
		}
		by := w.joining()
		if by != 6 {
			t.Fatalf("72 slices are joined by %d, want 6", by)
		}
		q, shift := w.joined(by)
		v, err := newWorld(&q)
		if err != nil {
			t.Fatal(err)
		}
		fine, wide := make([]float64, len(m.Zones)), make([]float64, len(m.Zones))
		for i := range m.Cells {
			fine[m.Cells[i].Zone] += m.Cells[i].AreaM2
		}
		for i := range q.Machines[0].Cells {
			c := &q.Machines[0].Cells[i]
			wide[c.Zone] += c.AreaM2
		}
		for z := range fine {
			near(t, "area of a zone", wide[z], fine[z], 1e-6)
		}
		// Each joined slice is given its own timer.
		set := make([]uint16, v.machs[0].n)
		for s := range set {
			set[s] = uint16(100 + s)
		}
		parted := w.parted([]job{{set: set}}, by, shift)[0].set
		turn := float64(shift[0]) * w.machs[0].width
		flow, inside := make([]float64, len(set)), make([]float64, len(set))
		for s := range parted {
			middle := float64(pivot.Azimuth((float64(s)+0.5)*w.machs[0].width - turn).Norm())
			in := int(middle / v.machs[0].width)
			if parted[s] != set[in] {
				t.Errorf("seed %d: slice %d has the timer of joined slice %d, not %d", seed, s, parted[s]-100, in)
			}
			flow[in] += w.machs[0].flow[s] / float64(by)
			inside[in] += w.machs[0].inside[s]
		}
		for s := range flow {
			near(t, "flow over a joined slice", v.machs[0].flow[s], flow[s], 1e-9)
			near(t, "degrees inside the stops", v.machs[0].inside[s], inside[s], 1e-9)
		}
		// The arm is as far into its joined slice as into its own.
		in := float64((w.machs[0].ArmDeg - pivot.Azimuth(turn)).Norm())
		near(t, "arm", float64(v.machs[0].ArmDeg), in, 1e-9)
		if s := w.machs[0].fromArm(0); int(in/v.machs[0].width) != (s-shift[0]+72)%72/by || int(in/w.machs[0].width)%by != 0 {
			t.Errorf("seed %d: the arm's slice %d does not begin its joined slice", seed, s)
		}
	}
}
