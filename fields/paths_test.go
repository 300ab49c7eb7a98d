// Messages name files from where the program runs, whenever they are found.

package fields

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestMessagesNameTheFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "farm")
	write := func(history string) {
		t.Helper()
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
		fsys := smallFarm(t, "history.csv", "", "date,tmax_c,tmin_c,rain_mm\n"+history,
			"weather.csv", "2025-06-05,23,10,90,45,2.0,24.5,0\n", "2025-06-05,23,10,103,45,2.0,24.5,0\n")
		if err := os.CopyFS(dir, fsys); err != nil {
			t.Fatal(err)
		}
	}
	load := func() *Farm {
		t.Helper()
		f, problems := Load(dir)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return f
	}
	check := func(what string, messages ...string) {
		t.Helper()
		if len(messages) == 0 {
			t.Errorf("%s: nothing was found", what)
		}
		for _, m := range messages {
			if !strings.HasPrefix(m, dir+string(filepath.Separator)) || strings.Count(m, dir) > 1 {
				t.Errorf("%s does not name the folder once: %s", what, m)
			}
		}
	}

	write("2024-06-01,25,12,101\n2024-06-02,25,25,0\n")
	f := load()
	check("doubt of the farm", f.Doubts[0].Error())
	check("doubt of the weather", f.Weather.Doubts[0].Error())
	rec, _ := f.History()
	check("doubt of the history", rec.Doubts[0].Error())
	rec, _ = f.History() // once only
	check("doubt of the history again", rec.Doubts[0].Error())
	late := mustWalk(t, f, date(t, "2025-06-11"), WalkOptions{})
	check("doubt of the walk", late.Doubts[0].Error())

	write("2024-06-01,12,25,0\n")
	f = load()
	_, problems := f.History()
	check("problem of the history", problems[0].Error())
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	s.Ahead(f.StartOfDay(s.Today), 5)
	check("problem of the history told by the season", s.Doubts[len(s.Doubts)-1].Error())
}
