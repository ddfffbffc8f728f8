package pages

import (
	"net/http"
	"net/url"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

// alertsPage is what has turned up.
type alertsPage struct {
	Alerts      []alertLine
	All         bool
	Next, First string
}

// alertLine is an alert, with the address of its lot.
type alertLine struct {
	notice.Notice
	ID, Href, When string
	Read           bool
}

func (s *site) alertList(v *visit) error {
	asked := v.r.URL.Query()
	page := alertsPage{All: asked.Get("all") != ""}
	ctx, cancel := v.calling()
	defer cancel()
	got, err := s.alerts.ListAlerts(ctx, &pb.ListAlertsRequest{IncludeAcknowledged: page.All, PageSize: 50, PageToken: asked.Get("page")})
	if err != nil {
		return err
	}
	for _, a := range got.GetAlerts() {
		page.Alerts = append(page.Alerts, alertLine{
			Notice: notice.Of(a, trade.US, s.Clock()), ID: strings.TrimPrefix(a.GetName(), "alerts/"), Href: "/" + a.GetLot().GetName(),
			When: momentText(a.GetCreateTime().AsTime()), Read: a.GetAcknowledgeTime() != nil,
		})
	}
	all := url.Values{}
	if page.All {
		all.Set("all", "1")
	}
	if asked.Get("page") != "" {
		page.First = "/alerts?" + all.Encode()
	}
	if next := got.GetNextPageToken(); next != "" {
		all.Set("page", next)
		page.Next = "/alerts?" + all.Encode()
	}
	s.show(v, http.StatusOK, "alerts", view{Title: "What has turned up", Here: "alerts", Body: page})
	return nil
}

func (s *site) acknowledge(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	if _, err := s.alerts.AcknowledgeAlert(ctx, &pb.AcknowledgeAlertRequest{Name: "alerts/" + v.r.PathValue("alert")}); err != nil {
		return err
	}
	return s.goTo(v, "/alerts")
}
