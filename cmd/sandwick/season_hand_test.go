// The season's books held against a farm worked by hand.

package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/xuri/excelize/v2"
)

// twelveDays writes the farm of fields/books/testdata/twelve.txtar to a folder.
func twelveDays(t *testing.T) string {
	t.Helper()
	ar, err := txtar.ParseFile(filepath.FromSlash("../../fields/books/testdata/twelve.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, f := range ar.Files {
		name := filepath.Join(dir, filepath.FromSlash(f.Name))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func runSeason(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	p := testProgram(time.Date(2025, 6, 7, 12, 0, 0, 0, time.UTC))
	if status := p.run(context.Background(), append([]string{"season"}, args...), strings.NewReader(""), &out, &errs); status != 0 {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	return out.String()
}

// TestSeasonByHand holds every figure of fields/books/testdata/twelve.csv against
// the rows of --csv and the cells of the workbook, to the last digit printed there.
// How the table was worked is told in the README beside it.
func TestSeasonByHand(t *testing.T) {
	dir := twelveDays(t)
	hand := readTable(t, filepath.FromSlash("../../fields/books/testdata/twelve.csv"))
	rows, err := csv.NewReader(strings.NewReader(runSeason(t, "--farm", dir, "--csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	book := filepath.Join(t.TempDir(), "books.xlsx")
	runSeason(t, "--farm", dir, "--xlsx", book)
	f, err := excelize.OpenFile(book)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sheet, err := f.GetRows("Wells by month", excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	var document any
	if err := json.Unmarshal([]byte(runSeason(t, "--farm", dir, "--json")), &document); err != nil {
		t.Fatal(err)
	}
	for _, h := range hand {
		where := rows
		find := map[string]string{"kind": h["kind"], "name": h["name"], "month": h["month"]}
		if h["kind"] == "sheet" {
			where, find = sheet, map[string]string{"well": h["name"], "month": h["month"]}
		}
		var text string
		var ok bool
		if h["kind"] == "json" {
			text, ok = member(document, strings.Split(h["name"]+"/"+h["column"], "/"))
		} else {
			text, ok = look(where, find, h["column"])
		}
		if !ok {
			t.Errorf("%s %s %s: no such row or column %q", h["kind"], h["name"], h["month"], h["column"])
			continue
		}
		want, err := strconv.ParseFloat(h["value"], 64)
		if err != nil { // a day, or names
			if text != h["value"] {
				t.Errorf("%s %s: got %q, by hand %q (%s)", h["name"], h["column"], text, h["value"], h["working"])
			}
			continue
		}
		got, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Errorf("%v: %q", h, text)
			continue
		}
		_, decimals, _ := strings.Cut(h["value"], ".")
		if tol := 0.5000001 * math.Pow10(-len(decimals)); !(math.Abs(got-want) <= tol) {
			t.Errorf("%s %s %s %s: got %.8g, by hand %s (%s)", h["kind"], h["name"], h["month"], h["column"], got, h["value"], h["working"])
		}
	}
	if len(hand) < 150 {
		t.Errorf("only %d figures compared", len(hand))
	}
}

// member finds a value of a JSON document by its path: names of members and, in a
// list, the well or the field of the element. A list of words is one text.
func member(v any, path []string) (string, bool) {
	if len(path) == 0 {
		switch v := v.(type) {
		case float64:
			return strconv.FormatFloat(v, 'g', -1, 64), true
		case string:
			return v, true
		case []any:
			var words []string
			for _, w := range v {
				words = append(words, fmt.Sprint(w))
			}
			return strings.Join(words, " "), true
		}
		return "", false
	}
	switch v := v.(type) {
	case map[string]any:
		inner, ok := v[path[0]]
		if !ok {
			return "", false
		}
		return member(inner, path[1:])
	case []any:
		for _, e := range v {
			if m, ok := e.(map[string]any); ok && (m["well"] == path[0] || m["field"] == path[0]) {
				return member(e, path[1:])
			}
		}
	}
	return "", false
}

// look finds the cell of a column in the first row whose named cells match.
func look(rows [][]string, find map[string]string, column string) (string, bool) {
	at := map[string]int{}
	for i, name := range rows[0] {
		if _, twice := at[name]; !twice {
			at[name] = i
		}
	}
	col, ok := at[column]
	if !ok {
		return "", false
	}
	for _, row := range rows[1:] {
		match := true
		for name, want := range find {
			match = match && row[at[name]] == want
		}
		if match && col < len(row) {
			return row[col], true
		}
	}
	return "", false
}

func readTable(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = row[i]
		}
		out = append(out, m)
	}
	return out
}

// TestWorkbookIsPrintable reads the workbook back: four sheets, the header row
// frozen and repeated in print, numbers as numbers.
func TestWorkbookIsPrintable(t *testing.T) {
	book := filepath.Join(t.TempDir(), "books.xlsx")
	runSeason(t, "--farm", twelveDays(t), "--xlsx", book)
	f, err := excelize.OpenFile(book)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got := strings.Join(f.GetSheetList(), "; "); got != "Wells by month; Fields; Daily; Notes and sources" {
		t.Errorf("sheets: %s", got)
	}
	titles := 0
	for _, n := range f.GetDefinedName() {
		if n.Name == "_xlnm.Print_Titles" && strings.HasSuffix(n.RefersTo, "!$1:$1") {
			titles++
		}
	}
	if titles != 4 {
		t.Errorf("%d sheets repeat their header in print, want 4", titles)
	}
	for _, name := range f.GetSheetList() {
		panes, err := f.GetPanes(name)
		if err != nil || !panes.Freeze || panes.YSplit != 1 {
			t.Errorf("%s: the header row is not frozen: %+v %v", name, panes, err)
		}
		layout, err := f.GetPageLayout(name)
		if err != nil || layout.Orientation == nil || *layout.Orientation != "landscape" || layout.FitToWidth == nil || *layout.FitToWidth != 1 {
			t.Errorf("%s: not set to print one page wide: %+v %v", name, layout, err)
		}
		rows, err := f.GetRows(name, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		for r := 1; r < len(rows); r++ {
			for c, text := range rows[r] {
				if _, err := strconv.ParseFloat(text, 64); text == "" || err != nil {
					continue
				}
				cell, err := excelize.CoordinatesToCellName(c+1, r+1)
				if err != nil {
					t.Fatal(err)
				}
				if kind, err := f.GetCellType(name, cell); err != nil || kind == excelize.CellTypeInlineString || kind == excelize.CellTypeSharedString {
					t.Errorf("%s %s: the number %s is stored as text (%v)", name, cell, text, err)
				}
			}
		}
	}
}
