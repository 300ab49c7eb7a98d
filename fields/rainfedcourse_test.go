package fields

import (
	"math"
	"os"
	"testing"
)

// Ground that gets no water goes the same way whoever steps it: the planner's
// course under no pass is other code over the same ground.
func TestRainfedCourseIsThatOfNoPass(t *testing.T) {
	f := mustLoad(t, os.DirFS(demo))
	today := date(t, "2025-07-19")
	s := mustWalk(t, f, today, WalkOptions{})
	ahead := s.Ahead(f.StartOfDay(today), 10)
	course, err := ahead.Problem.Course(nil)
	if err != nil {
		t.Fatal(err)
	}
	seen := make([]int, len(f.Pivots))
	ranges := 0
	for z := range f.Zones {
		p := f.ZonePivot(z)
		want := course[p][seen[p]]
		seen[p]++
		got := s.RainfedCourse(z, &ahead)
		if len(got) != len(want) {
			t.Fatalf("%s: %d days, want %d", f.Zones[z].Name, len(got), len(want))
		}
		for d := range got {
			a, b := &got[d], &want[d]
			for _, x := range [][2]float64{
				{a.DepletionMM, b.DepletionMM}, {a.LowMM, b.LowMM}, {a.HighMM, b.HighMM}, {a.TriggerMM, b.TriggerMM}, {a.TAWMM, b.TAWMM},
				{a.RainMM, b.RainMM}, {a.ETcMM, b.ETcMM}, {a.ETMM, b.ETMM}, {a.UpfluxMM, b.UpfluxMM}, {a.PercMM, b.PercMM},
			} {
				if math.Abs(x[0]-x[1]) > 1e-9 {
					t.Errorf("%s, day %d: %+v, the planner's course has %+v", f.Zones[z].Name, d, *a, *b)
					break
				}
			}
			if a.DriestMM < b.DriestMM-1e-9 { // slivers count here
				t.Errorf("%s, day %d: driest %g, the planner's course has %g", f.Zones[z].Name, d, a.DriestMM, b.DriestMM)
			}
			if a.HighMM-a.LowMM > 1 {
				ranges++
			}
		}
	}
	if ranges == 0 {
		t.Error("no zone has a range of days: nothing was compared")
	}
}
