package server_test

import (
	"flag"
	"fmt"
	"slices"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/score"
	"heirpress/search/standing/standingtest"
)

// agreeSeed repeats a run of TestSearchAndAlertsAgree.
var agreeSeed = flag.Uint64("agree-seed", 0, "the seed of TestSearchAndAlertsAgree; 0: by the clock")

const (
	agreeLots  = 100
	agreeLists = 50 // with two wants each: 10,000 cases
)

// agreeing is a registry in which every want is asked as a search too.
type agreeing struct {
	*rig
	dice   *standingtest.Dice
	lots   []*pb.Lot
	lists  []*pb.WantedList
	change uint64
}

// What a search with a want's filter finds is what the seeker has been alerted of,
// through the services: half of the lots were there before the wants, half came
// after, and in the end some are changed.
func TestSearchAndAlertsAgree(t *testing.T) {
	seed := *agreeSeed
	if seed == 0 {
		seed = uint64(time.Now().UnixNano())
	}
	t.Logf("seed %d", seed)
	a := &agreeing{rig: open(t), dice: standingtest.New(seed)}
	a.post(t)
	for range agreeLists {
		a.lodge(t)
	}
	a.post(t)
	before := a.alerted(t)
	found := a.search(t)
	for key := range found {
		if before[key] == nil {
			t.Errorf("found, and not alerted of: %s", key)
		}
	}
	for key := range before {
		if !found[key] {
			t.Errorf("alerted of, and not found: %s", key)
		}
	}
	a.reword(t)
	after := a.alerted(t)
	for key := range a.search(t) {
		if after[key] == nil {
			t.Errorf("found after the change, and not alerted of: %s", key)
		}
	}
	t.Logf("%d cases, %d met, %d after the changes", len(a.lots)*agreeLists*2, len(before), len(after))
}

// post posts half of the lots, in two shops.
func (a *agreeing) post(t *testing.T) {
	t.Helper()
	for range 2 {
		shop := a.shop(t, fmt.Sprint("Shop after ", len(a.lots)), a.dice.List("", 0).GetPlace())
		batch := &pb.BatchCreateLotsRequest{Parent: shop.GetName()}
		for n := range agreeLots / 4 {
			lot := a.dice.Lot("")
			lot.Tag, lot.Town, lot.ShopTitle = fmt.Sprint("P", n), nil, ""
			batch.Lots = append(batch.Lots, lot)
		}
		made, err := a.rig.lots.BatchCreateLots(t.Context(), batch)
		if err != nil {
			t.Fatal(err)
		}
		a.lots, a.change = append(a.lots, made.GetLots()...), made.GetChange()
	}
}

// lodge lodges a list of wants that ask for little, so that many are met.
func (a *agreeing) lodge(t *testing.T) {
	t.Helper()
	list := a.dice.MixedList(fmt.Sprint("List ", len(a.lists)), 2)
	if a.dice.IntN(3) > 0 {
		list.ReachRoadKm = nil
	}
	if a.dice.IntN(4) == 0 {
		list.Purse = usd(int64(100 * (1 + a.dice.IntN(40))))
	}
	for _, w := range list.GetWants() {
		w.Filter.Words = a.words()
	}
	lodged, change := a.rig.lodge(t, list)
	a.lists, a.change = append(a.lists, lodged), change
}

var agreeWords = []string{
	"", "", "press", "platen", "type", "wood type", "cabinet", "10x15", "24pt", "gothic", "proof press", `"proof press"`, `"wood type"`, "plat*",
	"cabin* oak", "treadle", "barn", "rollers", "12 line", "jobber 8x12", "the press by treadle", "font", "hand-press", "quoins",
}

func (a *agreeing) words() string { return agreeWords[a.dice.IntN(len(agreeWords))] }

func meetingKey(list, want, lot string) string { return fmt.Sprint(list, " ", want, " ", lot) }

// alerted are the alerts that were made, each once; the lot that an alert tells of
// must meet the want.
func (a *agreeing) alerted(t *testing.T) map[string]*pb.Alert {
	t.Helper()
	told := map[string]*pb.Alert{}
	for _, list := range a.lists {
		got, err := a.alerts.ListAlerts(t.Context(), &pb.ListAlertsRequest{WantedList: list.GetName(), AtLeastChange: a.change, PageSize: 1000})
		if err != nil {
			t.Fatal(err)
		}
		for _, one := range got.GetAlerts() {
			told[meetingKey(list.GetName(), one.GetWant(), one.GetLot().GetName())] = one
			n := slices.IndexFunc(list.GetWants(), func(w *pb.Want) bool { return w.GetId() == one.GetWant() })
			if ok, _ := search.Matches(score.Filter(list, list.GetWants()[n]), one.GetLot()); !ok {
				t.Errorf("alerted, and it does not meet: %v", one)
			}
		}
	}
	return told
}

// search finds what every want asks for. Words that no lot has are mended for a
// search, and never for a want.
func (a *agreeing) search(t *testing.T) map[string]bool {
	t.Helper()
	found := map[string]bool{}
	for _, list := range a.lists {
		for _, want := range list.GetWants() {
			got, err := a.rig.search.SearchLots(t.Context(), &pb.SearchLotsRequest{
				Filter: score.Filter(list, want), Order: pb.LotOrder_LOT_ORDER_NEWEST, AtLeastChange: a.change, PageSize: 1000,
			})
			if err != nil {
				t.Fatal(err)
			}
			for _, h := range got.GetHits() {
				if len(got.GetMendedWords()) == 0 {
					found[meetingKey(list.GetName(), want.GetId(), h.GetLot().GetName())] = true
				}
			}
		}
	}
	return found
}

// reword gives a quarter of the lots another's title and another price.
func (a *agreeing) reword(t *testing.T) {
	t.Helper()
	for range agreeLots / 4 {
		lot := a.lots[a.dice.IntN(len(a.lots))]
		lot.Title, lot.Price, lot.Etag = a.lots[a.dice.IntN(len(a.lots))].GetTitle(), usd(int64(50*a.dice.IntN(80))), ""
		got, err := a.rig.lots.UpdateLot(t.Context(), &pb.UpdateLotRequest{Lot: lot, UpdateMask: mask("title", "price")})
		if err != nil {
			t.Fatal(err)
		}
		a.change = got.GetChange()
	}
}
