package runplan

// This file has the reasons: facts and codes; words for people are made in cmd.

import "github.com/golang-sql/civil"

// Reason is why something is done or left.
type Reason struct {
	Code                           ReasonCode
	Field, Zone                    string     // of the driver cell
	Date                           civil.Date // when the driver cell reaches its trigger; zero if never in the horizon
	StressDate                     civil.Date // when it is first stressed without more water; zero if never in the horizon
	DepletionMM, TriggerMM, TableM float64    // of the driver cell: now, on that day (today if never), and the table depth then; TableM +Inf out of reach
	On                             civil.Date // day of DepletionMM, as it begins, where planned water comes before; zero: now
	RainMM                         float64    // expected rain in the horizon (room left for, or what saves the ground)
	Other                          string     // the machine, window or limit that stands in the way
	WaitCost                       float64    // of a leg, a pass or an idle machine: what one more day without this water would cost, all else as planned, currency; NaN where no crop value is known
	Safe                           ReasonCode // with AtRisk: why it is safe as the settings stand
	By                             *End       // with AtRisk: what would make it due on Date
}

// ReasonCode names the kinds of reason.
type ReasonCode uint8

// The kinds of reason.
const (
	NoReason      ReasonCode = iota
	Due                      // the driver cell reaches its trigger on Date
	DueLater                 // it reaches its trigger on Date; there is time
	NotDue                   // no cell reaches its trigger in the horizon and until the next pass
	TableFed                 // as NotDue, because water rises from the table at TableM
	RainComes                // as NotDue, because RainMM of rain is expected
	Walk                     // dry over ground of no zone
	JoinLegs                 // watered along with other ground, though it does not need it: it shares slices with ground that does, or the panel holds no more legs
	WellBusy                 // the well serves Other first
	MachineBusy              // the pass now running ends first
	NoRunHours               // no-run hours, Other says which
	NoWaterPeriod            // no-water period, Other says which
	SeasonLimit              // the season's withdrawal limit is used up
	DailyLimit               // the pumping hours allowed a day are used up
	FlowShort                // the machine alone draws more than the well gives
	TooLate                  // no pass would be done before the horizon ends
	NoGround                 // the machine has no zone under it
	CheaperHour              // starts when energy is cheaper
	Early                    // starts before its own ground must have water, so that Other can follow in time
	DearerSooner             // started sooner the plan as a whole would cost no less
	AtRisk                   // as Safe says; but due on Date if what is not known of the ground lies By so much to the worse
	NoCrop                   // no crop stands on it: its trigger is +Inf
)

var reasonNames = [...]string{
	"none", "due", "due_later", "not_due", "table_fed", "rain_comes", "walk", "join_legs", "well_busy", "machine_busy",
	"no_run_hours", "no_water_period", "season_limit", "daily_limit", "flow_short", "too_late", "no_ground",
	"cheaper_hour", "early", "dearer_sooner", "at_risk", "no_crop",
}

// String gives the code's name as it stands in JSON.
func (c ReasonCode) String() string {
	if int(c) < len(reasonNames) {
		return reasonNames[c]
	}
	return "unknown"
}

// MarshalText gives the code's name as it stands in JSON.
func (c ReasonCode) MarshalText() ([]byte, error) { return []byte(c.String()), nil }
