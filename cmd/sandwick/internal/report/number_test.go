package report

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"github.com/golang-sql/civil"
)

func TestMarshal(t *testing.T) {
	chicago, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		value interface {
			json.Marshaler
			MarshalCSV() (string, error)
		}
		json, csv string
	}{
		{Number(0.1), "0.1", "0.1"},
		{Number(1.0 / 3), "0.3333333333333333", "0.3333333333333333"},
		{Number(math.NaN()), "null", ""},
		{Number(math.Inf(1)), "null", ""},
		{Number(math.Inf(-1)), "null", ""},
		{Day(civil.Date{Year: 2026, Month: 7, Day: 4}), `"2026-07-04"`, "2026-07-04"},
		{Day{}, "null", ""},
		// The hour that the clock goes through twice keeps its offset.
		{Instant(time.Unix(1793514600, 0).In(chicago)), `"2026-11-01T01:30:00-05:00"`, "2026-11-01T01:30:00-05:00"},
		{Instant(time.Unix(1793518200, 0).In(chicago)), `"2026-11-01T01:30:00-06:00"`, "2026-11-01T01:30:00-06:00"},
		{Instant{}, "null", ""},
		{Names{"wind", "rain"}, `["wind","rain"]`, "wind rain"},
		{Names(nil), "[]", ""},
	}
	for _, tt := range tests {
		j, err := json.Marshal(tt.value)
		if err != nil || string(j) != tt.json {
			t.Errorf("JSON of %#v: %s, %v; want %s", tt.value, j, err, tt.json)
		}
		c, err := tt.value.MarshalCSV()
		if err != nil || c != tt.csv {
			t.Errorf("CSV of %#v: %q, %v; want %q", tt.value, c, err, tt.csv)
		}
	}
}
