package pivot

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func ExampleArc() {
	night := Arc{300, 60} // through north
	fmt.Println(night.Span(), night.Contains(0), night.Contains(180), night.Mid())
	fmt.Println(Arc{90, 90}.Span(), Arc{0, 360}.Full(), Azimuth(-90).Norm(), Azimuth(350).Clockwise(10))
	// Output:
	// 120 true false 0
	// 360 true 270 20
}

func TestAzimuthNorm(t *testing.T) {
	for _, c := range []struct{ in, want Azimuth }{
		{0, 0}, {360, 0}, {-360, 0}, {720.5, 0.5}, {-0.25, 359.75}, {-1e-20, 0}, {359.999, 359.999}, {-725, 355},
	} {
		if got := c.in.Norm(); got != c.want || math.Signbit(float64(got)) {
			t.Errorf("Norm(%v) = %v, want %v", c.in, got, c.want)
		}
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := Azimuth(bad).Norm(); !math.IsNaN(float64(got)) {
			t.Errorf("Norm(%v) = %v, want NaN", bad, got)
		}
	}
}

func TestArcContains(t *testing.T) {
	for _, c := range []struct {
		arc  Arc
		a    Azimuth
		want bool
	}{
		{Arc{10, 20}, 10, true}, {Arc{10, 20}, 20, true}, {Arc{10, 20}, 9.999, false}, {Arc{10, 20}, 20.001, false},
		{Arc{350, 10}, 0, true}, {Arc{350, 10}, 360, true}, {Arc{350, 10}, 11, false}, {Arc{-10, 370}, 5, true},
		{Arc{20, 10}, 15, false}, {Arc{20, 10}, 200, true}, {Arc{}, 123, true}, {Arc{77, 77}, 76, true},
	} {
		if got := c.arc.Contains(c.a); got != c.want {
			t.Errorf("%v.Contains(%v) = %v", c.arc, c.a, got)
		}
	}
}

// Shared against a count of fine steps round the circle.
func TestArcSharedProperty(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	for range 300 {
		whole := func() Azimuth { return Azimuth(rng.IntN(360)) }
		c, d := Arc{whole(), whole()}, Arc{whole(), whole()}
		var want float64
		for a := range 360 {
			if mid := Azimuth(a) + 0.5; c.Contains(mid) && d.Contains(mid) {
				want++
			}
		}
		if got := c.Shared(d); got != want || d.Shared(c) != want {
			t.Errorf("seed 7,11: %v and %v share %v, %v the other way round; counted %v", c, d, got, d.Shared(c), want)
		}
		if back := c.Span() + (Arc{c.To, c.From}).Span(); !c.Full() && back != 360 {
			t.Errorf("%v and its rest span %v", c, back)
		}
	}
}

func TestSwept(t *testing.T) {
	if got := Swept(90, 45, false); got != (Arc{45, 90}) {
		t.Errorf("anticlockwise 90 to 45 sweeps %v", got)
	}
	if got := Swept(90, 45, true).Span(); got != 315 {
		t.Errorf("clockwise 90 to 45 sweeps %v degrees", got)
	}
	if got := Swept(45, 45, false).Span(); got != 360 {
		t.Errorf("a full turn sweeps %v degrees", got)
	}
}
