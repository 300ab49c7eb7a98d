// Lists in JSON: an empty one is [], never null, so that a program that reads
// them needs no second case.

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestListsAreNeverNull(t *testing.T) {
	demo, err := filepath.Abs("../../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	young := filepath.Join(t.TempDir(), "young")
	run := func(args ...string) []byte {
		t.Helper()
		var out, said bytes.Buffer
		p := testProgram(time.Date(2025, 7, 19, 11, 30, 0, 0, time.UTC))
		if status := p.run(context.Background(), args, strings.NewReader(""), &out, &said); status != exitDone {
			t.Fatalf("%v: exit status %d\n%s", args, status, said.String())
		}
		return out.Bytes()
	}
	run("init", young)
	for _, name := range []string{"probes.csv", "cuts.csv"} { // a book not begun is no file at all
		if err := os.Remove(filepath.Join(young, "records", name)); err != nil {
			t.Fatal(err)
		}
	}
	commands := [][]string{{"check"}, {"et"}, {"balance"}, {"balance", "--cells"}, {"balance", "--probes"}, {"soils"}, {"status"}, {"plan"}, {"outlook", "--days", "5"}, {"season"}}
	lists, nulls := map[string]bool{}, map[string][]string{}
	for _, command := range commands {
		for _, farm := range []string{demo, young} {
			var document any
			if err := json.Unmarshal(run(append(command, "--json", "--farm", farm)...), &document); err != nil {
				t.Fatalf("%v: %v", command, err)
			}
			sortValues(command[0], document, lists, func(path string) {
				nulls[path] = append(nulls[path], fmt.Sprint(command, " of ", filepath.Base(farm)))
			})
		}
	}
	if len(lists) < 20 {
		t.Errorf("only %d lists seen", len(lists))
	}
	for path, where := range nulls {
		if lists[path] || strings.HasSuffix(path, ".warnings") {
			t.Errorf("%s is a list, and null in %s", path, where[0])
		}
	}
}

// sortValues walks a document and books which of its paths hold lists and which null.
func sortValues(path string, value any, lists map[string]bool, null func(path string)) {
	switch v := value.(type) {
	case nil:
		null(path)
	case []any:
		lists[path] = true
		for _, el := range v {
			sortValues(path+"[]", el, lists, null)
		}
	case map[string]any:
		for key, el := range v {
			sortValues(path+"."+key, el, lists, null)
		}
	}
}
