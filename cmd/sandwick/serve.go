// sandwick serve: the farm's pages on this machine or the farm's own network.
package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"sandwick/cmd/sandwick/internal/guard"
	"sandwick/cmd/sandwick/internal/page"
	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/site"
	"sandwick/et/input"
	"sandwick/fields/records"
	"sandwick/fields/settings"

	"github.com/spf13/cobra"
	"golang.org/x/term"
)

const serveLong = `Show the plan, the status and the season's books as pages, and take down what was measured
and done, on this machine or, with a passphrase, on the farm's own network. The pages
follow the farm's files; what is typed goes through the same checks as the command line,
and can be taken back.

Forms:
  sandwick serve                                 for a browser on this machine
  sandwick serve --address 192.168.1.20:8377 --passphrase FILE
                                                 for phones on the farm's network

The passphrase is asked for once, on a terminal, and kept in FILE as a hash that only you
can read. There is no encryption on the way: everybody who can listen on the network can
read what the pages say and what is typed, the passphrase too. Use it on a network of your
own, never on a public one or the internet. Ctrl-C ends it; what is being written then is
written to its end.`

// servePort is the usual port: outside the system's own, of no other meaning here.
const servePort = "8377"

type serveFlags struct {
	address, passphrase string
	names               []string
}

func (p *program) serveCommand() *cobra.Command {
	var f serveFlags
	cmd := &cobra.Command{
		Use:     "serve",
		Short:   "pages on this machine or the farm's network",
		Long:    serveLong,
		Example: "  sandwick serve --farm myfarm",
		Args:    noArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return p.serve(cmd.Context(), f) },
	}
	cmd.Flags().StringVar(&f.address, "address", "127.0.0.1:"+servePort, "where to listen, `HOST:PORT`; port 0 is any that is free")
	cmd.Flags().StringVar(&f.passphrase, "passphrase", "", "the `FILE` that keeps the passphrase; needed for any address but this machine's own")
	cmd.Flags().StringSliceVar(&f.names, "name", nil, "another `HOST` name that the pages are asked for by, such as barn.local")
	must(cmd.MarkFlagFilename("passphrase"))
	must(cmd.RegisterFlagCompletionFunc("address", cobra.NoFileCompletions))
	must(cmd.RegisterFlagCompletionFunc("name", cobra.NoFileCompletions))
	return cmd
}

func (p *program) serve(ctx context.Context, f serveFlags) error {
	host, port, err := net.SplitHostPort(f.address)
	if n, bad := strconv.Atoi(port); err != nil || bad != nil || n < 0 || n > 65535 {
		return usage(fmt.Errorf("--address: not an address (got %q)", f.address), "want HOST:PORT, such as 127.0.0.1:"+servePort)
	}
	open := !guard.Loopback(f.address)
	if open && f.passphrase == "" {
		return usage(fmt.Errorf("--address: %s can be reached from other machines, and no passphrase is set", f.address),
			"name the file that is to keep it: --passphrase FILE")
	}
	var phrase *guard.Passphrase
	if f.passphrase != "" {
		if phrase, err = p.passphrase(f.passphrase); err != nil {
			return err
		}
	}
	if _, err := p.open(); err != nil {
		var problems input.Problems
		_, missing := os.Stat(filepath.Join(p.common.farm, settings.File))
		if !errors.As(err, &problems) || missing != nil {
			return err
		}
		p.warnf("the farm's files have mistakes; the pages tell which")
	}
	listener, err := net.Listen("tcp", f.address)
	if err != nil {
		return &failure{fmt.Errorf("serve: %w", err), "is something else listening there? --address names another port"}
	}
	l, err := p.local(ctx, phrase, f.names, slog.New(slog.NewTextHandler(p.stderr, nil)))
	if err != nil {
		listener.Close()
		return &failure{fmt.Errorf("serve: %w", err), ""}
	}
	if open {
		p.warnf("plain HTTP: whoever can listen on the network reads what is shown and typed, the passphrase too; use a network of your own")
	}
	_, port, _ = net.SplitHostPort(listener.Addr().String())
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		host = ownAddress()
	}
	fmt.Fprintf(p.stdout, "http://%s/\n", net.JoinHostPort(host, port))
	go l.keep.get(ctx, 0) // the first visitor need not wait for it
	if err := l.guard.Serve(ctx, listener, guard.Times{}); err != nil && !errors.Is(err, http.ErrServerClosed) {
		return &failure{fmt.Errorf("serve: %w", err), ""}
	}
	return nil
}

// ownAddress is an address by which other machines of the network can ask.
func ownAddress() string {
	addresses, _ := net.InterfaceAddrs()
	for _, a := range addresses {
		if ip, ok := a.(*net.IPNet); ok && ip.IP.IsPrivate() && ip.IP.To4() != nil {
			return ip.IP.String()
		}
	}
	return "localhost"
}

// passphrase reads the file of the passphrase, or makes it with one that is asked
// for on the terminal.
func (p *program) passphrase(name string) (*guard.Passphrase, error) {
	phrase, err := guard.ReadPassphrase(name)
	if err == nil || !errors.Is(err, fs.ErrNotExist) {
		if err != nil {
			err = usage(fmt.Errorf("--passphrase: %w", err), "")
		}
		return phrase, err
	}
	in, ok := p.stdin.(*os.File)
	if !ok || !term.IsTerminal(int(in.Fd())) {
		return nil, usage(fmt.Errorf("--passphrase: there is no file %s", name), "start it on a terminal once, to be asked for a passphrase")
	}
	ask := func(what string) ([]byte, error) {
		fmt.Fprintf(p.stderr, "%s: ", what)
		text, err := term.ReadPassword(int(in.Fd()))
		fmt.Fprintln(p.stderr)
		return text, err
	}
	first, err := ask(fmt.Sprintf("new passphrase, %d characters or more", guard.LeastPassphrase))
	if err != nil {
		return nil, err
	}
	again, err := ask("once more")
	if err != nil {
		return nil, err
	}
	if string(first) != string(again) {
		return nil, usage(errors.New("--passphrase: the two are not the same, nothing was written"), "")
	}
	if phrase, err = guard.NewPassphrase(first); err != nil {
		return nil, usage(fmt.Errorf("--passphrase: %w", err), "four or five words that do not belong together are easy to keep in mind")
	}
	if err := phrase.Write(name); err != nil {
		return nil, &failure{fmt.Errorf("--passphrase: %w", err), "may you write there?"}
	}
	return phrase, nil
}

// local is the local site.
type local struct {
	p     *program
	guard *guard.Guard
	keep  keeper
	work  chan struct{} // held by a reckoning besides the answers: one at a time
	sheet chan struct{} // held while something is recorded: the file's lock is not fair
	past  receipts
}

// local builds the site. Work goes on until ctx ends.
func (p *program) local(ctx context.Context, phrase *guard.Passphrase, names []string, log *slog.Logger) (*local, error) {
	work := *p // its own messages go nowhere: pages say what there is to say
	work.stderr = silent{}
	l := &local{p: &work, work: make(chan struct{}, 1), sheet: make(chan struct{}, 1)}
	l.keep.p, l.keep.ctx = &work, ctx
	l.past.now = p.now
	open := []string{}
	for path := range siteAssets {
		open = append(open, path)
	}
	slices.Sort(open)
	g, err := guard.New(guard.Options{
		Names: names, Passphrase: phrase, Log: log, Policy: site.Policy(), Open: open,
		Say: func(w http.ResponseWriter, status int, why string) {
			l.say(w, status, site.Say{Head: report.Sentence(why)})
		},
		SignIn: func(w http.ResponseWriter, r *http.Request, status int, fault, then string) {
			l.write(w, status, "sign-in", site.SignIn{Page: site.Page{Title: "passphrase", Token: l.guard.Token(r)}, Fault: fault, Then: then})
		},
	})
	if err != nil {
		return nil, err
	}
	l.guard = g
	for path := range siteAssets {
		g.Get(path, l.asset)
	}
	for _, path := range []string{"/{$}", "/status", "/season"} {
		g.Get(path, l.answer)
	}
	g.Get("/changes", l.changes)
	g.Get("/record", func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, "/record/"+recordForms[0].kind, http.StatusSeeOther)
	})
	for i := range recordForms {
		f := &recordForms[i]
		g.Get("/record/"+f.kind, func(w http.ResponseWriter, r *http.Request) { l.form(w, r, f, http.StatusOK, r.URL.Query(), nil) })
		g.Post("/record/"+f.kind, 0, func(w http.ResponseWriter, r *http.Request) { l.record(w, r, f) },
			func(w http.ResponseWriter, r *http.Request) {
				l.form(w, r, f, http.StatusForbidden, r.PostForm, errors.New("nothing was recorded: this page was older than the program; look it over and record it again"))
			})
	}
	g.Post("/undo", 0, l.undo, func(w http.ResponseWriter, r *http.Request) {
		l.say(w, http.StatusForbidden, site.Say{Head: "Nothing was taken back: that page was older than the program. Open it again."})
	})
	g.Get("/done", l.done)
	g.Get("/what-if", l.whatIf)
	g.Get("/zones", func(w http.ResponseWriter, r *http.Request) { l.zones(w, r, http.StatusOK, nil, nil) })
	g.Get("/zones.geojson", l.zonesFile)
	g.Post("/zones", mostMapBytes, l.saveZones, func(w http.ResponseWriter, r *http.Request) {
		l.zones(w, r, http.StatusForbidden, r.PostForm, []string{"this page was older than the program; look it over and save it again"})
	})
	return l, nil
}

// silent takes what nobody is to read.
type silent struct{}

func (silent) Write(p []byte) (int, error) { return len(p), nil }

var siteAssets = site.Assets()

func (l *local) asset(w http.ResponseWriter, r *http.Request) {
	a := siteAssets[r.URL.Path]
	w.Header().Set("Content-Type", a.Kind)
	sendTagged(w, r, a.Tag, a.Body)
}

// sendTagged sends a body unless the browser has it already.
func sendTagged(w http.ResponseWriter, r *http.Request, tag string, body []byte) {
	w.Header().Set("ETag", tag)
	if slices.Contains(strings.Split(r.Header.Get("If-None-Match"), ", "), tag) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	_, _ = w.Write(body) // whoever went away needs no answer
}

// write sends a page; what cannot be set is a fault for the log.
func (l *local) write(w http.ResponseWriter, status int, name string, data any) {
	if err := site.Write(w, status, name, data); err != nil && !errors.Is(err, net.ErrClosed) {
		l.p.errorf("%v", err)
	}
}

// head is what every page has in its head; the farm's name where it is known.
func (l *local) head(r *http.Request, title, here string) site.Page {
	p := site.Page{Title: title, Here: here, Token: l.guard.Token(r)}
	l.keep.mu.Lock()
	defer l.keep.mu.Unlock()
	if a := l.keep.last; a != nil && a.v.farm != nil {
		p.Farm = a.v.farm.Name
	}
	return p
}

func (l *local) say(w http.ResponseWriter, status int, s site.Say) {
	if s.Title == "" {
		s.Title = http.StatusText(status)
	}
	l.write(w, status, "say", s)
}

// answer sends the plan, the status or the season's books.
func (l *local) answer(w http.ResponseWriter, r *http.Request) {
	a, fresh := l.keep.soon(r.Context())
	if a == nil {
		l.say(w, http.StatusServiceUnavailable, site.Say{Head: "The plan is still being made.", Retry: true, ID: "none"})
		return
	}
	if a.err != nil {
		l.noAnswer(w, r, a)
		return
	}
	body, err := a.pages[r.URL.Path]()
	if err != nil {
		l.noAnswer(w, r, &answers{id: a.id, err: err})
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	notice := ""
	if !fresh {
		notice = "The farm’s files have changed since: this page is being made anew and will follow."
		w.Header().Set("Refresh", "3")
		_, _ = w.Write(site.Noticed(body, notice))
		return
	}
	sendTagged(w, r, `"`+a.id+`"`, site.Noticed(body, ""))
}

// noAnswer tells why there is no plan. Records can still be taken.
func (l *local) noAnswer(w http.ResponseWriter, r *http.Request, a *answers) {
	s := site.Say{Page: l.head(r, "no plan", r.URL.Path), Head: "There is no plan yet", Retry: true, ID: a.id}
	if len(a.list) > 0 {
		s.Why, s.List = "The farm’s files have to be mended first; this page follows.", a.list
	} else {
		s.Why = reason(a.err)
	}
	l.say(w, http.StatusServiceUnavailable, s)
}

// reason is an error with its hint as a page says it.
func reason(err error) string {
	text := err.Error()
	hint := ""
	if u, ok := errors.AsType[*usageError](err); ok {
		hint = u.hint
	} else if f, ok := errors.AsType[*failure](err); ok {
		hint = f.hint
	}
	if hint = pageHint(hint); hint != "" {
		text += "; " + hint
	}
	return text
}

// mostListeners is how many pages may follow the farm's files at a time.
const mostListeners = 64

// changes tells pages when an answer has been made anew: server-sent events, one
// for each answer, with its name.
func (l *local) changes(w http.ResponseWriter, r *http.Request) {
	if n := l.keep.listeners.Add(1); n > mostListeners {
		l.keep.listeners.Add(-1)
		l.guard.Refuse(w, r, http.StatusServiceUnavailable, "too many pages follow the farm already")
		return
	}
	defer l.keep.listeners.Add(-1)
	c := http.NewResponseController(w)
	if c.SetReadDeadline(time.Time{}) != nil {
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	last, quiet := "", 0
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		a, _ := l.keep.get(r.Context(), 30*time.Second)
		quiet++
		if a != nil && a.id != last || quiet > 20 {
			if c.SetWriteDeadline(time.Now().Add(10*time.Second)) != nil {
				return
			}
			text := ": still here\n\n"
			if a != nil && a.id != last {
				text, last = "data: "+a.id+"\n\n", a.id
			}
			if _, err := w.Write([]byte(text)); err != nil || c.Flush() != nil {
				return
			}
			quiet = 0
		}
		select {
		case <-tick.C:
		case <-r.Context().Done():
			return
		case <-l.guard.Ending():
			return
		}
	}
}

// queueTime is how long something to be recorded waits for those before it: well
// within the time in which a request must be answered.
const queueTime = 15 * time.Second

// turn waits until it is this request's turn to write. Without a turn nothing may
// be written: whoever sent it is gone, or is told to send it again.
func (l *local) turn(w http.ResponseWriter, r *http.Request) (done func(), ok bool) {
	select {
	case l.sheet <- struct{}{}:
	default:
		patience := time.NewTimer(queueTime)
		defer patience.Stop()
		select {
		case l.sheet <- struct{}{}:
		case <-patience.C:
			return nil, false
		case <-r.Context().Done():
			return nil, false
		}
	}
	// What is written now is answered too, however long the wait was.
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(time.Minute))
	return func() { <-l.sheet }, true
}

// errQueue is told to those who got no turn.
var errQueue = errors.New("nothing was recorded: too many are recording at once; send it again")

// receipt is what was done by one form, kept for the page that tells of it.
type receipt struct {
	at     time.Time
	head   string
	said   []string
	doubts []string
	rows   []records.Row
	again  site.Kind
	before *former
}

// former is what is kept of answers that others have taken the place of: the rest
// of them is large.
type former struct {
	actions []page.Action
	cost    report.Cost
}

// receipts keeps the last of them by the names of their forms: a form that comes
// twice is not recorded twice.
type receipts struct {
	mu   sync.Mutex
	now  func() time.Time
	list map[string]*receipt
	old  []string
}

const mostReceipts = 4096

func (r *receipts) find(once string) *receipt {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.list[once]
}

func (r *receipts) put(once string, v *receipt) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.list == nil {
		r.list = map[string]*receipt{}
	}
	if len(r.old) == mostReceipts {
		delete(r.list, r.old[0])
		r.old = r.old[1:]
	}
	v.at = r.now()
	r.list[once] = v
	r.old = append(r.old, once)
}
