// What the season's books say of estimates, in every form, on the demo farm.

package main

import (
	"encoding/csv"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

var demoFarm = filepath.FromSlash("../../testdata/demo")

// The tables fit a hundred columns: the demo's projection has a range and its
// fields have long names. Meter and farm.toml differ, and that is said.
func TestSeasonTablesFit(t *testing.T) {
	text := runSeason(t, "--farm", demoFarm)
	for _, line := range strings.Split(text, "\n") {
		if n := utf8.RuneCountInString(line); n > 100 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	// The soil's books go by the flow in farm.toml; the meters saw less.
	flat := strings.Join(strings.Fields(text), " ")
	for _, want := range []string{
		"Heron Mint: gross exceeds the metered water by ", "Bittern Corn: gross exceeds the metered water by ",
		"Bittern: by the meter its flow is ", "and its end gun's at ", "by farm.toml rests on",
	} {
		if !strings.Contains(flat, want) {
			t.Errorf("not said: %s", want)
		}
	}
	if strings.Contains(flat, "Plover: by the meter its flow is") {
		t.Error("a flow that is off by less than 3 % is proposed anew")
	}
}

// One field's books tell nothing of another well.
func TestSeasonOfOneField(t *testing.T) {
	text := runSeason(t, "--farm", demoFarm, "--field", "Heron Mint")
	for _, other := range []string{"Stone", "Bittern", "Plover Beans"} {
		if strings.Contains(text, other) {
			t.Errorf("says %s", other)
		}
	}
	if !strings.Contains(text, "Heron Mint: gross exceeds") {
		t.Error("its own note is gone")
	}
}

// The list of estimated figures holds names of columns, the same in CSV and in the
// workbook; what is nothing but rounding is 0 there.
func TestSeasonEstimatedColumn(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(runSeason(t, "--farm", demoFarm, "--csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	listed, _ := look(rows, map[string]string{"kind": "field", "name": "Bittern Corn", "month": ""}, "estimated")
	names := strings.Fields(listed)
	for _, want := range []string{
		"withdrawn_m3", "energy_kwh", "cost", "nitrogen_brought_kg", "irrigation_gross_mm", "irrigation_net_mm",
		"upflux_mm", "percolation_mm", "nitrogen_lost_kg", "saved_m3", "saved_cost",
	} {
		if !slices.Contains(names, want) {
			t.Errorf("%s is not listed: %s", want, listed)
		}
	}
	for _, name := range names {
		if !slices.Contains(rows[0], name) {
			t.Errorf("%s is no column", name)
		}
	}
	book := filepath.Join(t.TempDir(), "books.xlsx")
	runSeason(t, "--farm", demoFarm, "--xlsx", book)
	f, err := excelize.OpenFile(book)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sheet, err := f.GetRows("Fields")
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := look(sheet, map[string]string{"field": "Bittern Corn", "zone": "", "month": "season"}, "estimated (names as in --csv)"); got != listed {
		t.Errorf("the workbook lists %q, --csv %q", got, listed)
	}
	for _, name := range f.GetSheetList() {
		rows, err := f.GetRows(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			for _, text := range row {
				if strings.HasPrefix(text, "-0") && strings.Trim(text, "-0.") == "" {
					t.Errorf("%s shows %s", name, text)
				}
			}
		}
	}
	for _, line := range strings.Split(runSeason(t, "--farm", demoFarm, "--json"), "\n") {
		if strings.Contains(line, `"outside_zones_m3"`) && !strings.HasSuffix(strings.TrimSuffix(line, ","), ": 0") {
			t.Errorf("all ground of the demo lies in zones: %s", line)
		}
	}
}
