// The map of zones on the pages of sandwick serve: drawn in the browser or typed,
// checked and saved here.

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strings"

	"sandwick/cmd/sandwick/internal/site"
	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/fields/zonemap"
	"sandwick/pivot"

	"github.com/paulmach/orb"
)

// mostMapBytes is the largest form with a map in it: ten circles of a hundred
// zones fit.
const mostMapBytes = 8 << 20

// zoneFacts is what the editor must know of the farm.
type zoneFacts struct {
	US       bool          `json:"us"`
	Machines []zoneMachine `json:"machines"`
	Fields   []zoneField   `json:"fields"`
	Soils    []string      `json:"soils"`
}

type zoneMachine struct {
	Name       string    `json:"name"`
	Center     orb.Point `json:"center"`
	ReachM     float64   `json:"reach_m"`
	Outline    orb.Ring  `json:"outline"`
	MPerDegLon float64   `json:"m_per_deg_lon"`
	MPerDegLat float64   `json:"m_per_deg_lat"`
}

type zoneField struct {
	Name  string `json:"name"`
	Pivot string `json:"pivot"`
}

// zones shows the editor: the map as saved, or as typed with what is wrong.
func (l *local) zones(w http.ResponseWriter, r *http.Request, status int, said url.Values, faults []string) {
	z, problems := fields.OpenZoning(l.p.common.farm)
	if len(problems) > 0 {
		l.noDesk(w, r, problems)
		return
	}
	facts, err := json.Marshal(factsOf(z))
	if err != nil {
		l.say(w, http.StatusInternalServerError, site.Say{Head: "The machines cannot be drawn"})
		return
	}
	page := site.Zones{Page: l.head(r, "zones", "/zones"), Map: string(z.Text), Was: z.Tag(), Facts: string(facts), Faults: faults}
	if said != nil {
		page.Map, page.Was = said.Get("map"), said.Get("was")
	}
	if r.Method == http.MethodGet && r.URL.Query().Get("saved") != "" {
		page.Saved = "Saved, and the plan is made anew with it."
	}
	l.write(w, status, "zones", &page)
}

func factsOf(z *fields.Zoning) zoneFacts {
	f := zoneFacts{US: z.US, Soils: z.SoilNames(), Fields: []zoneField{}, Machines: []zoneMachine{}}
	for i := range z.Fields {
		f.Fields = append(f.Fields, zoneField{z.Fields[i].Name, z.Fields[i].Pivot})
	}
	for i := range z.Pivots {
		m := &z.Pivots[i].Machine
		// The scale at the pivot point: the editor's plane is good to a few
		// centimetres over a circle, and outlines are not told apart that near.
		plane := pivot.NewPlane(m.Center)
		const small = 1e-3
		east := plane.ToPlane(orb.Point{m.Center[0] + small, m.Center[1]})
		north := plane.ToPlane(orb.Point{m.Center[0], m.Center[1] + small})
		stops := pivot.Arc{}
		if m.Stops != nil {
			stops = *m.Stops
		}
		f.Machines = append(f.Machines, zoneMachine{
			Name: m.Name, Center: m.Center, ReachM: m.LengthM + m.EndGunM, Outline: m.Outline(stops, 0.1)[0],
			MPerDegLon: east[0] / small, MPerDegLat: north[1] / small,
		})
	}
	return f
}

// zonesFile is the map as it is saved.
func (l *local) zonesFile(w http.ResponseWriter, r *http.Request) {
	z, problems := fields.OpenZoning(l.p.common.farm)
	if len(problems) > 0 || z.Text == nil {
		l.guard.Refuse(w, r, http.StatusNotFound, "there is no map yet")
		return
	}
	sendMap(w, z.Text)
}

func sendMap(w http.ResponseWriter, text []byte) {
	w.Header().Set("Content-Type", "application/geo+json") // RFC 7946, 12
	w.Header().Set("Content-Disposition", `attachment; filename="`+zonemap.File+`"`)
	_, _ = w.Write(text)
}

// saveZones checks a map and saves it, or sends it back as a file.
func (l *local) saveZones(w http.ResponseWriter, r *http.Request) {
	z, problems := fields.OpenZoning(l.p.common.farm)
	if len(problems) > 0 {
		l.noDesk(w, r, problems)
		return
	}
	text := []byte(strings.ReplaceAll(r.PostForm.Get("map"), "\r\n", "\n")) // as forms send lines
	if r.PostForm.Get("do") == "download" {
		if problems := z.Check(text); len(problems) > 0 {
			l.typedWrong(r, "map")
			l.zones(w, r, http.StatusUnprocessableEntity, r.PostForm, l.mapFaults(problems))
			return
		}
		sendMap(w, text)
		return
	}
	end, ok := l.turn(w, r)
	if !ok {
		l.zones(w, r, http.StatusServiceUnavailable, r.PostForm, []string{errQueue.Error()})
		return
	}
	err := z.Save(context.WithoutCancel(r.Context()), r.PostForm.Get("was"), text)
	end()
	switch {
	case err == nil:
		l.guard.Note(r, slog.LevelInfo, "map saved")
		http.Redirect(w, r, "/zones?saved=yes", http.StatusSeeOther)
	case errors.As(err, &problems):
		l.typedWrong(r, "map")
		l.zones(w, r, http.StatusUnprocessableEntity, r.PostForm, l.mapFaults(problems))
	case errors.Is(err, fields.ErrMapChanged):
		l.guard.Note(r, slog.LevelInfo, "refused", "status", http.StatusConflict, "why", "the map was changed since")
		l.zones(w, r, http.StatusConflict, r.PostForm, []string{err.Error() + ": download this one, open the page again, and put the two together"})
	default:
		l.guard.Note(r, slog.LevelError, "map not saved")
		l.zones(w, r, http.StatusInternalServerError, r.PostForm, []string{"the disk did not take it"})
	}
}

func (l *local) mapFaults(problems input.Problems) []string {
	list := []string{}
	for i := range problems {
		if i == mostProblems {
			return append(list, fmt.Sprintf("(and %d more)", len(problems)-i))
		}
		list = append(list, l.p.relative(problems[i]).Error())
	}
	return list
}
