// Speed on the demo farm: what every command pays before it has an answer.

package fields

import (
	"testing"
	"time"
)

const demo = "../testdata/demo"

func BenchmarkLoadDemo(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, problems := Load(demo); len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}

func BenchmarkWalkDemo(b *testing.B) {
	f, problems := Load(demo)
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.Walk(f.Today, WalkOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAheadDemo(b *testing.B) {
	f, problems := Load(demo)
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	s, err := f.Walk(f.Today, WalkOptions{})
	if err != nil {
		b.Fatal(err)
	}
	now := f.StartOfDay(f.Today).Add(6 * time.Hour)
	b.ReportAllocs()
	for b.Loop() {
		if a := s.Ahead(now, 10); len(a.Problem.Machines) != len(f.Pivots) {
			b.Fatal(len(a.Problem.Machines))
		}
	}
}

// The demo is a sound farm whose files are in order.
func TestDemo(t *testing.T) {
	f, problems := Load(demo)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if len(f.Doubts) > 0 {
		t.Errorf("doubts: %v", f.Doubts)
	}
	s := mustWalk(t, f, f.Today, WalkOptions{KeepCells: true})
	if len(s.Doubts) > 0 || s.Estimated > 0 {
		t.Errorf("doubts of the season: %v; %d days estimated", s.Doubts, s.Estimated)
	}
	// Areas: the cells of a circle and its bare ground make up the circle.
	for p := range f.Pivots {
		sum := f.ground.machines[p].bareM2
		for _, c := range f.Cells() {
			if f.ZonePivot(c.Zone) == p {
				sum += c.AreaM2
			}
		}
		if want := f.Pivots[p].AreaM2(); sum < want*(1-1e-9) || sum > want*(1+1e-9) {
			t.Errorf("%s: %.3f m² of cells and bare ground, %.3f m² wetted", f.Pivots[p].Name, sum, want)
		}
	}
}
