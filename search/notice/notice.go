package notice

import (
	"strings"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/score"
	"heirpress/search/trade"
)

// Notice is what an alert says, line by line. A line that has nothing to say is
// empty.
type Notice struct {
	// Urgent comes first where the lot has to go within UrgentDays.
	Urgent string
	// Want is the title of the want, and Lot that of the lot.
	Want, Lot string
	// Tag is the lot's.
	Tag string
	// Why says why there is an alert.
	Why string
	// Fit is the score, and Reasons are a line for each of its parts.
	Fit     string
	Reasons []string
	// Where is shop and town; Road the way there with its range.
	Where, Road string
	// Facts are weight, price, condition, what is missing, and state.
	Facts string
	// Moving is the weight class in words.
	Moving string
	// ClearBy is the day by which it has to go.
	ClearBy string
	// Ask are the questions to the keeper, the one that matters most first.
	Ask []string
	// Commands are what can be typed next.
	Commands []Command
}

// Command is something to type, and what it does.
type Command struct {
	// Does says what it is for: "to read more".
	Does string
	// Type is the command line.
	Type string
}

// Of is what an alert says on a day, with measures in the units asked for.
func Of(a *pb.Alert, u trade.Units, now time.Time) Notice {
	l := a.GetLot()
	return Notice{
		Urgent: Urgent(l, now), Want: a.GetWantTitle(), Lot: l.GetTitle(), Tag: l.GetTag(),
		Why: Reason(a.GetReason()), Fit: Fit(a.GetFit()), Reasons: reasons(a.GetFit()),
		Where: Where(l), Road: Road(RoadOf(a.RoadMiles, a.RoadMilesLow, a.RoadMilesHigh), u),
		Facts: Facts(l, u), Moving: WeightClass(score.WeightClassOf(l)), ClearBy: ClearBy(l),
		Ask: a.GetFit().GetQuestions(), Commands: commands(a),
	}
}

// Fill works out what an alert carries of the day on which it is read.
func Fill(a *pb.Alert, now time.Time) {
	a.Urgent = IsUrgent(a.GetLot(), now)
	a.WeightClass = score.WeightClassOf(a.GetLot())
	a.NextCommands = nil
	for _, c := range commands(a) {
		a.NextCommands = append(a.NextCommands, c.Type)
	}
}

// Reason says why an alert was made; empty where that is not said.
func Reason(r pb.AlertReason) string { return reasonWords[r] }

var reasonWords = map[pb.AlertReason]string{
	pb.AlertReason_ALERT_REASON_NEW_LOT:     "a new lot",
	pb.AlertReason_ALERT_REASON_CHANGED_LOT: "a lot has changed and now meets the want",
	pb.AlertReason_ALERT_REASON_NEW_WANT:    "a lot that was there already",

	pb.AlertReason_ALERT_REASON_NEARER_DEADLINE: "it must now be gone sooner",
	pb.AlertReason_ALERT_REASON_FOUND_PART:      "a part that was missing has been found",
}

func reasons(f *pb.Fit) []string {
	var lines []string
	for _, p := range f.GetParts() {
		line := Part(p)
		if len(p.GetReasons()) > 0 {
			line += ": " + Phrases(append([]string(nil), p.GetReasons()...)...)
		}
		lines = append(lines, line)
	}
	return lines
}

func commands(a *pb.Alert) []Command {
	lot := LotID(a.GetLot().GetName())
	all := []Command{{"to read more", "heirpress show " + lot}, {"to plan the move", "heirpress rig " + lot}}
	if a.GetAcknowledgeTime() == nil {
		all = append(all, Command{"to put it away", "heirpress alerts ack " + strings.TrimPrefix(a.GetName(), "alerts/")})
	}
	return all
}
