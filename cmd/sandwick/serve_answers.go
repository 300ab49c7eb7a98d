// The answers that sandwick serve shows: made from the farm's files, kept until
// one of them changes, made by one worker at a time.

package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"sandwick/cmd/sandwick/internal/page"
	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/site"
	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/fields/books"
	"sandwick/fields/records"
	"sandwick/fields/settings"
	"sandwick/fields/zonemap"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

const (
	// turnPatience is how long a page waits for an answer that is being made:
	// most take less. After it the one before is shown, with a word about it; at
	// once where it will take longer.
	turnPatience = 400 * time.Millisecond
	// agedAfter is when an answer of a running clock is made anew though no file
	// changed: a plan for now is not one for half an hour ago.
	agedAfter = 10 * time.Minute
	// restTimes what the last answers took is the pause before the next while files
	// go on changing, and mostRest the longest.
	restTimes = 3
	mostRest  = 2 * time.Second
)

// answers are what one state of the farm's files gives. Pages are set when they
// are first asked for.
type answers struct {
	id    string
	stamp string
	begun time.Time
	err   error // why there are none
	list  []string

	v       view
	season  *fields.Season
	cost    report.Cost
	actions []page.Action
	pages   map[string]func() ([]byte, error)
}

// keeper makes answers and keeps the last.
type keeper struct {
	p      *program
	ctx    context.Context // of the work
	mu     sync.Mutex
	last   *answers
	making chan struct{} // closed when the work under way is done; nil: none is
	took   time.Duration // the last one
	ended  time.Time     // when that was done

	listeners atomic.Int64 // pages that follow the farm's files
}

// stamp names the state of the farm's files: their sizes and times.
func (k *keeper) stamp() string {
	dir := k.p.common.farm
	names := []string{settings.File, zonemap.File, fields.WeatherFile, fields.ForecastFile, fields.HistoryFile}
	for _, name := range append(records.Files(), records.UndoneFile) {
		names = append(names, filepath.Join(records.Dir, name))
	}
	var b strings.Builder
	for _, name := range names {
		if info, err := os.Stat(filepath.Join(dir, name)); err == nil {
			fmt.Fprintf(&b, "%s %d %d\n", name, info.Size(), info.ModTime().UnixNano())
		}
	}
	return b.String()
}

// soon gives the answers for a page that somebody waits for.
func (k *keeper) soon(ctx context.Context) (a *answers, fresh bool) {
	k.mu.Lock()
	wait := turnPatience
	switch {
	case k.last == nil:
		wait = 30 * time.Second // there is nothing else to show
	case max(k.rest(), 0)+k.took > turnPatience:
		wait = 0
	}
	k.mu.Unlock()
	return k.get(ctx, wait)
}

// get gives the answers of the files as they are now, or, when they take longer
// than wait to make, those made before; fresh tells which. Nil: there are none yet.
func (k *keeper) get(ctx context.Context, wait time.Duration) (a *answers, fresh bool) {
	asked := time.Now()
	stamp := k.stamp()
	patience := time.NewTimer(wait)
	defer patience.Stop()
	for {
		k.mu.Lock()
		a := k.last
		// What was begun after we asked has seen the files as they are, even if
		// they have changed again since.
		if a != nil && (a.stamp == stamp && asked.Sub(a.begun) < agedAfter || a.begun.After(asked)) {
			k.mu.Unlock()
			return a, true
		}
		if k.making == nil {
			k.making = make(chan struct{})
			go k.make(k.making)
		}
		making := k.making
		k.mu.Unlock()
		select {
		case <-making:
		case <-patience.C:
			return a, false
		case <-ctx.Done():
			return a, false
		}
	}
}

// rest is the pause before the next answers: some times what the last took, so that
// files that change without end, as when many record at once, leave most of the
// machine to those who record and read. What is asked for later is begun at once.
// k.mu is held.
func (k *keeper) rest() time.Duration {
	return time.Until(k.ended.Add(min(restTimes*k.took, mostRest)))
}

// make makes answers and puts them in place.
func (k *keeper) make(done chan struct{}) {
	k.mu.Lock()
	pause := time.NewTimer(k.rest())
	k.mu.Unlock()
	defer pause.Stop()
	select {
	case <-pause.C:
	case <-k.ctx.Done():
	}
	a := &answers{begun: time.Now(), stamp: k.stamp()}
	func() {
		defer func() {
			if v := recover(); v != nil { // the pages still tell, and records are still taken
				a.err = fmt.Errorf("a fault of the program: %v", v)
			}
		}()
		a.err = a.make(k.ctx, k.p)
	}()
	var problems input.Problems
	if errors.As(a.err, &problems) {
		for i := range problems {
			if i == mostProblems {
				a.list = append(a.list, fmt.Sprintf("(and %d more)", len(problems)-i))
				break
			}
			a.list = append(a.list, k.p.relative(problems[i]).Error())
		}
	}
	sum := sha256.Sum256([]byte(a.stamp + a.begun.Truncate(agedAfter).String()))
	a.id = hex.EncodeToString(sum[:8])
	a.set()
	k.mu.Lock()
	defer k.mu.Unlock()
	k.last, k.making, k.ended = a, nil, time.Now()
	k.took = k.ended.Sub(a.begun)
	close(done)
}

// relative names a file of the farm from its folder: where that is on the disk is
// nobody's business on a page.
func (p *program) relative(problem input.Problem) input.Problem {
	if rel, err := filepath.Rel(p.common.farm, problem.File); err == nil && filepath.IsLocal(rel) {
		problem.File = filepath.ToSlash(rel)
	}
	return problem
}

// make does the work, the plan's included.
func (a *answers) make(ctx context.Context, p *program) error {
	var err error
	if a.v, err = p.open(); err != nil {
		return err
	}
	v := &a.v
	today := civil.DateOf(v.now)
	if err := v.fresh(today); err != nil {
		return err
	}
	if a.season, err = v.walk(today, fields.WalkOptions{}); err != nil {
		return err
	}
	ahead := a.season.Planning(v.now, defaultDays)
	plan, err := runplan.Make(ctx, ahead.Problem)
	if err != nil {
		return fmt.Errorf("planning: %w", err)
	}
	answer := report.NewPlan(v.planFacts(a.season, &ahead, &plan, p.common.today == ""))
	a.cost = answer.Cost
	facts, err := v.pageFacts(page.RunPlan, a.season, &ahead, &plan, answer)
	if err != nil {
		return err
	}
	a.actions = page.Actions(facts)
	a.pages = map[string]func() ([]byte, error){
		"/": func() ([]byte, error) { return a.html("/", facts) },
		"/status": func() ([]byte, error) {
			standing, err := a.season.Standing(v.now, defaultDays)
			if err != nil {
				return nil, err
			}
			facts, err := v.statusFacts(a.season, report.NewStatus(a.season, standing, v.now, defaultDays))
			if err != nil {
				return nil, err
			}
			return a.html("/status", facts)
		},
		"/season": func() ([]byte, error) {
			b, notes, err := v.books(books.Usual().Tolerance)
			if err != nil {
				return nil, err
			}
			facts, err := v.seasonFacts(b.Season, report.NewSeason(b, notes))
			if err != nil {
				return nil, err
			}
			return a.html("/season", facts)
		},
	}
	return nil
}

func (a *answers) html(here string, facts *page.Args) ([]byte, error) {
	facts.Frame = site.Frame(here, a.id)
	var b bytes.Buffer
	err := page.Write(&b, facts)
	return b.Bytes(), err
}

// set makes each page be set once, when it is first asked for.
func (a *answers) set() {
	for path, make := range a.pages {
		a.pages[path] = sync.OnceValues(make)
	}
}
