package trade

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

const moneyHelp = "write it as 900, $1,250.50, GBP 450 or free"

var (
	amountRE = regexp.MustCompile(`^(\d{1,3}(?:,\d{3})+|\d{1,12})(?:\.(\d{1,9}))?$`)
	offersRE = regexp.MustCompile(`,?\s*\(?\s*(?:o\.?b\.?o\.?|o\.?n\.?o\.?|or best offer|or near(?:est)? offer)\s*\)?$`)
	moneyRE  = regexp.MustCompile(`^([^\d.,]*)([\d.,]+)([^\d.,]*)$`)
)

// moneyMarks are the signs and words that name a currency. A yen sign is Chinese
// as well as Japanese, and "kr" could be three: they are not here.
var moneyMarks = map[string]string{
	"us$": "USD", "ca$": "CAD", "c$": "CAD", "au$": "AUD", "a$": "AUD", "nz$": "NZD",
	"£": "GBP", "pound": "GBP", "pounds": "GBP", "quid": "GBP",
	"€": "EUR", "euro": "EUR", "euros": "EUR",
}

var freeWords = map[string]bool{
	"free": true, "free to a good home": true, "free to good home": true, "gift": true, "nil": true, "donation": true,
}

// ParseMoney reads a price: "900", "$1,250.50", "USD 900", "450 GBP", "€300",
// "free" (a present zero). Without a mark it is in defaultCurrency; "$" is too,
// if that is a dollar, and is USD otherwise. "or best offer" and "OBO" are passed
// over. The error is a *ParseError.
func ParseMoney(text, defaultCurrency string) (*pb.Money, error) {
	defaultCurrency = strings.ToUpper(strings.TrimSpace(defaultCurrency))
	if !isCurrency(defaultCurrency) {
		return nil, misread(defaultCurrency, "a currency", "give its three letters, as USD, GBP or EUR")
	}
	t := offersRE.ReplaceAllString(plain(text), "")
	if freeWords[t] {
		return &pb.Money{CurrencyCode: defaultCurrency}, nil
	}
	m := moneyRE.FindStringSubmatch(t)
	if m == nil || strings.HasPrefix(t, "-") {
		return nil, misread(text, "a price", "%s", moneyFix(t))
	}
	currency, ok := currencyOf(strings.TrimSpace(m[1]), strings.TrimSpace(m[3]), defaultCurrency)
	if !ok {
		return nil, misread(text, "a price", "name the currency once, by its three letters; %s", moneyHelp)
	}
	return amount(text, m[2], currency)
}

func moneyFix(text string) string {
	switch {
	case strings.HasPrefix(text, "-"):
		return "a price is never negative"
	case strings.ContainsAny(text, "-") || strings.Contains(text, " to "):
		return "give one price; " + moneyHelp
	}
	return moneyHelp + "; leave it out if no price is asked"
}

// currencyOf finds the currency in what stood before and after the amount.
func currencyOf(before, after, fallback string) (string, bool) {
	switch {
	case before == "" && after == "":
		return fallback, true
	case before == "" || after == "":
		return markOf(before+after, fallback)
	}
	// "$900 USD": both are there, and have to agree.
	a, okA := markOf(before, fallback)
	b, okB := markOf(after, fallback)
	if isDollarSign(before) && isDollar(b) {
		a = b
	}
	return a, okA && okB && a == b
}

func markOf(mark, fallback string) (string, bool) {
	if isDollarSign(mark) {
		if isDollar(fallback) {
			return fallback, true
		}
		return "USD", true
	}
	if code, ok := moneyMarks[mark]; ok {
		return code, true
	}
	code := strings.ToUpper(mark)
	return code, isCurrency(code)
}

func isDollarSign(mark string) bool { return mark == "$" || mark == "dollar" || mark == "dollars" }

func isDollar(code string) bool {
	switch code {
	case "USD", "CAD", "AUD", "NZD", "SGD", "HKD", "TWD":
		return true
	}
	return false
}

func amount(text, figures, currency string) (*pb.Money, error) {
	m := amountRE.FindStringSubmatch(figures)
	if m == nil {
		return nil, misread(text, "a price", "put commas at the thousands and a point before the cents, as 1,250.50")
	}
	units, err := strconv.ParseInt(strings.ReplaceAll(m[1], ",", ""), 10, 64)
	if err != nil || units >= 1e12 {
		return nil, misread(text, "a price", "it is too much")
	}
	nanos, _ := strconv.Atoi((m[2] + "000000000")[:9])
	return &pb.Money{CurrencyCode: currency, Units: units, Nanos: int32(nanos)}, nil
}

var moneySigns = map[string]string{"USD": "$", "GBP": "£", "EUR": "€", "CAD": "CA$", "AUD": "A$", "NZD": "NZ$"}

// FormatMoney shows an amount: "$900", "£1,250.50", "SEK 300", and "free" for
// zero. Nothing is shown for nil.
func FormatMoney(m *pb.Money) string {
	if m == nil {
		return ""
	}
	if m.GetUnits() == 0 && m.GetNanos() == 0 {
		return "free"
	}
	sign, ok := moneySigns[m.GetCurrencyCode()]
	if !ok {
		sign = m.GetCurrencyCode() + " "
	}
	return sign + groupedInt(m.GetUnits()) + cents(m.GetNanos())
}

// cents is the part below one unit: nothing, or two figures, or as many as it
// takes.
func cents(nanos int32) string {
	if nanos == 0 {
		return ""
	}
	s := fmt.Sprintf("%09d", nanos)
	return "." + s[:2] + strings.TrimRight(s[2:], "0")
}

func groupedInt(n int64) string {
	s := strconv.FormatInt(n, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// currencies are the codes of ISO 4217 for money that is spent, from memory.
const currencies = " AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD" +
	" CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD" +
	" HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD" +
	" MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG" +
	" QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD" +
	" TZS UAH UGX USD UYU UZS VES VND VUV WST XAF XCD XOF XPF YER ZAR ZMW ZWG "

func isCurrency(code string) bool {
	return len(code) == 3 && strings.Contains(currencies, " "+code+" ")
}
