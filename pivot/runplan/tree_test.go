package runplan

import (
	"math"
	"math/rand/v2"
	"testing"

	"sandwick/soilwater"
)

// The trees say what stepping the ground day by day says, before and after all of
// them has been let go.
func TestTrees(t *testing.T) {
	p := farm(central(t), 8, circle72(t, "A", 3))
	w, err := newWorld(&p)
	if err != nil {
		t.Fatal(err)
	}
	m := &w.machs[0]
	tr := newTrees(w, m)
	rng := rand.New(rand.NewPCG(3, 8))
	for n := range 2000 {
		if n == 1000 {
			if tr.used < 2000 {
				t.Fatalf("only %d nodes", tr.used)
			}
			tr.forget()
		}
		s := rng.IntN(m.n)
		row := make([]float64, w.p.Days)
		for range rng.IntN(3) {
			row[rng.IntN(len(row))] += math.Round(rng.Float64()*20/drop) * drop
		}
		for i := range m.cells[s] {
			c := &m.cells[s][i]
			st, f, unmet, lost := c.State, soilwater.Fluxes{}, 0.0, 0.0
			for d := range w.p.Days {
				wa := c.water(d, w.p.Days)
				wa.NetMM += row[d]
				c.z.Column.Step(&st, c.demand(d), &wa, &f)
				short := max(0, f.ETcMM-f.ETMM)
				unmet += short + c.late(&f, short)
				lost += f.PercolationMM
			}
			dep, asked := f.DepletionMM, 0.0
			for d := w.p.Days; d < w.p.Days+m.tail; d++ {
				wa := c.water(d, w.p.Days)
				c.z.Column.Step(&st, c.demand(d), &wa, &f)
				short := max(0, f.ETcMM-f.ETMM)
				unmet += short + c.late(&f, short)
				asked += f.ETcMM
			}
			end := tr.after(s, i, w.p.Days, row)
			near(t, "depletion", tr.at(end).dep, dep, 1e-9)
			near(t, "unmet", tr.at(end).unmet, unmet, 1e-9)
			near(t, "percolation", tr.at(end).lost, lost, 1e-9)
			near(t, "owed", tr.owed(end), f.DepletionMM-asked, 1e-9)
		}
	}
}
