package report

import (
	"testing"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot/runplan"
)

func TestWetterThanFull(t *testing.T) {
	for _, c := range []struct {
		mm          float64
		text, words string
	}{
		{12.7, "0.50", "0.50 in"},
		{0, "0.00", "0.00 in"},
		{-5, "0 wet", "none, wetter than full"},
	} {
		if got := DepletionText(units.US, c.mm); got != c.text {
			t.Errorf("%g mm: %q, want %q", c.mm, got, c.text)
		}
		if got := depletionWords(units.US, c.mm); got != c.words {
			t.Errorf("%g mm: %q, want %q", c.mm, got, c.words)
		}
	}
	r := Reason{Reason: runplan.Reason{Code: runplan.TableFed, Zone: "Slough", DepletionMM: -5, TriggerMM: 38.1, TableM: 0.3048}, today: tuesday}
	if got, want := r.Text(units.US), "Slough is fed by the water table at 1.0 ft: depletion none, wetter than full, trigger 1.50 in"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
