// Many people recording and taking back at once.

package records

import (
	"context"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"

	"sandwick/et/input"
	"sandwick/fields/records/journal"
)

// look is what a program reads beside the writers.
func (w *Writer) look() (Records, input.Problems, input.Problems) {
	return Read(journal.Settled(os.DirFS(w.Dir)), w.Farm)
}

// Eight writers, each with its own hands on the lock, record rain and passes
// and take some of it back, while a reader reads: every state that is seen is
// sound, and in the end all is there that was recorded and not taken back.
func TestManyWriters(t *testing.T) {
	each := 40
	if testing.Short() {
		each = 10
	}
	w := paper(t)
	var wg sync.WaitGroup
	for n := range 8 {
		wg.Go(func() {
			own := &Writer{Dir: w.Dir, Farm: w.Farm, US: true}
			for i := range each {
				note := fmt.Sprintf("writer %d row %d", n, i)
				row := rainRowOf(t, "2025-06-10", "Mint", "0.1in")
				row["note"] = Word(note)
				if _, err := own.Record(context.Background(), Batch{File: RainFile, What: note, Rows: []Entry{row}}, noon, false); err != nil {
					t.Error(err)
					return
				}
				if i%5 != 4 {
					continue
				}
				_, _, err := own.Undo(context.Background(), noon, "", func(s *Standing) ([]Row, error) {
					for _, r := range s.Rows(RainFile) {
						if strings.HasSuffix(r.Text, note) {
							return []Row{r}, nil
						}
					}
					return nil, fmt.Errorf("%s is not there", note)
				}, false)
				if err != nil {
					t.Error(err)
					return
				}
			}
		})
	}
	done := make(chan struct{})
	go func() { wg.Wait(); close(done) }()
	for looking := true; looking; {
		select {
		case <-done:
			looking = false
		default:
		}
		if _, problems, _ := w.look(); len(problems) > 0 {
			t.Fatalf("a reader sees\n%v", problems)
		}
	}
	r, _, doubts := w.look()
	if want := 8 * each * 4 / 5; len(r.Rain) != want {
		t.Errorf("%d rows count, want %d", len(r.Rain), want)
	}
	seen := map[string]bool{}
	for _, row := range r.Rain {
		if seen[row.Note] {
			t.Errorf("%s stands twice", row.Note)
		}
		seen[row.Note] = true
	}
	for _, d := range doubts {
		if d.File == Dir+"/"+UndoneFile {
			t.Error(d)
		}
	}
	if got := strings.Count(w.get(t, RainFile), "\n"); got != 1+8*each {
		t.Errorf("%d lines, want %d", got, 1+8*each)
	}
	if left, err := os.ReadDir(w.Dir + "/" + Dir); err != nil || len(left) != 4 {
		t.Errorf("left in the folder: %v, %v", left, err)
	}
}
