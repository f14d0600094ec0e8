//! What a hostile page can do to the browser host from the same browser, on another port and under another name; and
//! what a text with markup in it can do to the screens.

use std::io::{Read as _, Write as _};
use std::net::TcpListener;

use serde_json::{Value, json};

use super::{Device, NURSED, Visit, ask, browser, named, settle, store};
use crate::harness::Driver;
use crate::program::{Served, call, plain_record};

/// Serves one page to whoever asks, from a port of its own; its address.
fn stranger(page: &'static str) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    std::thread::spawn(move || {
        for mut stream in listener.incoming().flatten() {
            // A browser opens connections on which it then says nothing.
            std::thread::spawn(move || {
                let mut request = [0; 4096];
                let _ = stream.read(&mut request);
                let _ = write!(
                    stream,
                    "HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{page}",
                    page.len()
                );
            });
        }
    });
    address
}

/// Every way in that a page has, against a host's address; what each came to.
const ATTACKS: &str = r#"
    const [host, line] = args;
    const json = { 'content-type': 'application/json' };
    const tell = async (way) => {
        try { return String(await way()) } catch (fault) { return 'refused: ' + fault.name }
    };
    const said = async (reply) => reply.type + ' ' + reply.status + ' ' + (await reply.text()).slice(0, 60);
    const load = (tag, attribute, address) => new Promise((done) => {
        const found = document.createElement(tag);
        found.onload = () => done('loaded');
        found.onerror = () => done('refused: error');
        found[attribute] = address;
        document.body.append(found);
        setTimeout(() => done('refused: silent'), 3000);
    });
    const framed = async (address) => {
        const frame = document.createElement('iframe');
        frame.src = address;
        document.body.append(frame);
        await new Promise((done) => setTimeout(done, 1500));
        return 'read: ' + frame.contentWindow.document.body.innerText;
    };
    const posted = async () => {
        const frame = document.createElement('iframe');
        frame.name = 'hidden' + Math.random();
        document.body.append(frame);
        const form = document.createElement('form');
        Object.assign(form, { action: host + '/door', method: 'POST', enctype: 'text/plain', target: frame.name });
        const field = document.createElement('input');
        // A form can be bent into something that looks like JSON.
        const cut = line.lastIndexOf('}');
        Object.assign(field, { name: line.slice(0, cut) + ',"x":"', value: '"}' });
        form.append(field);
        document.body.append(form);
        form.submit();
        await new Promise((done) => setTimeout(done, 1500));
        return 'read: ' + frame.contentWindow.document.body.innerText;
    };
    const opened = async () => {
        const other = window.open(host + '/');
        await new Promise((done) => setTimeout(done, 1500));
        return 'read: ' + other.document.body.innerText;
    };
    const ways = {
        plain: tell(async () => said(await fetch(host + '/door', { method: 'POST', body: line, credentials: 'include' }))),
        json: tell(async () => said(await fetch(host + '/door', { method: 'POST', body: line, headers: json, credentials: 'include' }))),
        blind: tell(async () => said(await fetch(host + '/door', { method: 'POST', body: line, mode: 'no-cors', credentials: 'include' }))),
        beacon: tell(() => 'queued ' + navigator.sendBeacon(host + '/door', new Blob([line], { type: 'text/plain' }))),
        page: tell(async () => said(await fetch(host + '/', { credentials: 'include' }))),
        picture: tell(() => load('img', 'src', host + '/door')),
        script: tell(() => load('script', 'src', host + args[2])),
        style: tell(() => load('link', 'href', host + '/')),
        socket: tell(() => new Promise((done) => {
            const socket = new WebSocket(host.replace('http', 'ws') + '/door');
            socket.onopen = () => done('open');
            socket.onerror = () => done('refused: error');
        })),
        frame: tell(() => framed(host + '/')),
        form: tell(posted),
        window: tell(opened),
    };
    // One that never comes to anything is as good as refused, and is called so.
    const late = (way) => Promise.race([way, new Promise((done) => setTimeout(() => done('refused: silent'), 6000))]);
    const found = {};
    await Promise.all(Object.entries(ways).map(async ([name, way]) => { found[name] = await late(way) }));
    return found;
"#;

#[test]
fn a_page_on_another_port_reads_nothing_and_writes_nothing() {
    let data = store(1, false);
    let visit = Visit::to(Device::Desktop, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.find("heading", "Fallow: Caseload");
    let script = page.script(
        "return new URL(document.querySelector('script[src]').src).pathname",
        &[],
    );
    let line = json!({ "op": "person_add", "args": { "name": "Not Invited", "born": "1951-03-09",
        "zone": "Europe/London" } })
    .to_string();
    // The page itself may: the request is one that would be taken.
    let people = |page: &crate::harness::Page| {
        let list = ask(page, "person_list", json!({}));
        list["people"].as_array().unwrap().len()
    };
    assert_eq!(people(page), 1);
    let own = line.replace("Not Invited", "Tamsin Quill");
    let own: Value = serde_json::from_str(&own).unwrap();
    ask(page, "person_add", own["args"].clone());
    assert_eq!(people(page), 2);

    let host = visit._served.host().to_owned();
    let port = host.split(':').nth(1).unwrap();
    // The same host name on another port is the same site: the browser sends the cookie along.
    let evil = stranger("<!doctype html><title>stranger</title><body>");
    let (_, evil_port) = evil.split_once(':').unwrap();
    let mut tried = 0;
    for (from, to) in [
        (
            format!("http://127.0.0.1:{evil_port}/"),
            format!("http://{host}"),
        ),
        (
            format!("http://localhost:{evil_port}/"),
            format!("http://{host}"),
        ),
        (
            format!("http://127.0.0.1:{evil_port}/"),
            format!("http://localhost:{port}"),
        ),
    ] {
        page.goto(&from);
        let found = page.promise(ATTACKS, &[json!(to), json!(line), script.clone()]);
        let found = found.as_object().unwrap_or_else(|| panic!("{found}"));
        assert_eq!(found.len(), 12, "{found:?}");
        for (way, came_to) in found {
            let words = came_to.as_str().unwrap();
            // Sent blindly, the browser tells the page nothing of the answer.
            let blind = (way == "blind" && words == "opaque 0 ")
                || (way == "beacon" && words.starts_with("queued"));
            // A stylesheet that is none is loaded as nothing; what it held cannot be asked.
            assert!(
                words.starts_with("refused") || blind,
                "{way} from {from} to {to}: {words}"
            );
            tried += 1;
        }
    }
    println!("{tried} ways tried from three pages, nothing read");
    page.goto(&format!("http://{host}/"));
    page.find("heading", "Fallow: Caseload");
    assert_eq!(people(page), 2, "nothing was written");
    visit.page.close();
}

/// A name that first leads elsewhere and then here: to the browser a page under it is the host's own.
#[test]
fn a_page_under_another_name_for_this_host_is_not_let_in() {
    let data = plain_record();
    let served = Served::start(&["--data", data.path().to_str().unwrap()]);
    let driver = Driver::start(&named("CHROMEDRIVER", "chromedriver"), &[]);
    let page = browser(
        &driver,
        Device::Desktop,
        &["--host-resolver-rules=MAP rebound.example 127.0.0.1"],
    );
    let port = served.host().split(':').nth(1).unwrap().to_owned();
    let token = served.link.split_once("/?").unwrap().1.to_owned();
    page.goto(&format!("http://rebound.example:{port}/"));
    assert!(
        page.text().contains("not the one in the link"),
        "{}",
        page.text()
    );
    // Not even with the token, which is not used up by it.
    page.goto(&format!("http://rebound.example:{port}/?{token}"));
    assert!(
        page.text().contains("not the one in the link"),
        "{}",
        page.text()
    );
    let reply = page.promise(
        "const reply = await fetch('/door', { method: 'POST', body: '{\"op\":\"status\"}', headers: { 'content-type': 'application/json' } });
         return reply.status + ' ' + (await reply.text())",
        &[],
    );
    assert!(reply.as_str().unwrap().starts_with("403 "), "{reply}");
    page.goto(&served.link);
    page.find("heading", "Fallow: Caseload");
    page.close();
}

/// Markup in every text a person can write, on every screen that shows one.
#[test]
fn markup_in_a_text_is_shown_and_never_run() {
    let data = plain_record();
    let bad = |n: usize| {
        format!(
            "<img src=x onerror=\"window.ran={n}\"><script>window.ran={n}</script>javascript:{n}"
        )
    };
    let order = "01890a5d-ac96-774b-bcce-b302099a8005";
    let injection = "01890a5d-ac96-774b-bcce-b302099a8006";
    let finding = "01890a5d-ac96-774b-bcce-b302099a8007";
    let today = chrono::Utc::now();
    let at = (today - chrono::Duration::hours(2)).to_rfc3339();
    let lines = [
        json!({ "op": "person_add", "args": { "id": NURSED, "name": bad(1), "born": "1951-03-09", "zone": "Europe/London",
            "allergies": [bad(2)], "identifier": bad(3), "note": bad(4), "self_injects": true } }),
        json!({ "op": "order_add", "args": { "id": order, "person": NURSED, "medicine": "insulin-glargine-100",
            "dose": { "value": "12", "unit": "units" }, "times": ["08:00", "20:00"], "from": "2020-01-01",
            "prescriber": bad(5), "note": bad(6) } }),
        json!({ "op": "injection_record", "args": { "id": injection, "person": NURSED, "order": order,
            "site": { "zone": "abdomen", "quadrant": "left_lower", "across_cm": 5.5, "up_cm": -3.0 }, "given_at": at,
            "dose": { "value": "12", "unit": "units" }, "recorder": bad(7), "reason": bad(8), "note": bad(9) } }),
        json!({ "op": "finding_record", "args": { "id": finding, "person": NURSED, "kind": "lump", "zone": "abdomen",
            "place": { "centre": { "across_cm": -5.5, "up_cm": -3.0 }, "length_mm": 24, "width_mm": 18 }, "noticed": "felt",
            "feel": "soft", "at": at, "recorder": bad(10), "note": bad(11) } }),
        json!({ "op": "container_add", "args": { "id": "01890a5d-ac96-774b-bcce-b302099a8008", "person": NURSED,
            "order": order, "medicine": bad(12), "strength": "100 units/mL", "batch": bad(13), "expires": "2031-03",
            "opened": "2026-06-01", "device": "pen" } }),
        json!({ "op": "event_record", "args": { "id": "01890a5d-ac96-774b-bcce-b302099a8009", "person": NURSED,
            "order": order, "about": "glucose", "at": at, "value": "5.4", "unit": "mmol/L", "recorder": bad(14), "note": bad(15) } }),
    ];
    let input: String = lines.iter().map(|line| format!("{line}\n")).collect();
    let output = call(data.path(), &[], input.as_bytes());
    let replies = String::from_utf8(output.stdout).unwrap();
    assert_eq!(replies.matches("{\"ok\"").count(), lines.len(), "{replies}");

    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    let person = format!("/person/{NURSED}");
    let mut shown = 0;
    for path in [
        "/".to_owned(),
        "/today".to_owned(),
        "/handover".to_owned(),
        "/practice".to_owned(),
        person.clone(),
        format!("{person}/give"),
        format!("{person}/map"),
        format!("{person}/map/abdomen"),
        format!("{person}/done/{injection}"),
        format!("{person}/record"),
        format!("{person}/record/{injection}"),
        format!("{person}/edit"),
        format!("{person}/order/{order}"),
        format!("{person}/end/{order}"),
        format!("{person}/glucose"),
        format!("{person}/plan"),
        format!("{person}/rotation"),
        format!("{person}/chart?weeks=12"),
        format!("{person}/risk"),
        format!("{person}/skin"),
        format!("{person}/skin/{finding}"),
    ] {
        page.script("location.hash = arguments[0]", &[json!(path)]);
        settle(page);
        let made = page.script(
            "return [document.querySelectorAll('img[src=x], [onerror], main script, a[href^=javascript]').length,
                window.ran ?? null]",
            &[],
        );
        assert_eq!(made, json!([0, null]), "{path}");
        shown += page.text().matches("onerror").count();
    }
    println!("markup shown as text {shown} times on 21 screens");
    assert!(shown > 30, "{shown}");
    assert_eq!(page.refused(), [""; 0], "refused by the content policy");
    visit.page.close();
}
