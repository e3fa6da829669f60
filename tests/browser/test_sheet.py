"""The scoring page in real Chromium, against the real server: touch to event, event to server, finish to seal."""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Route, expect

from checkoffs.attempts.models import Sheet
from checkoffs.attempts.queries import preview_of
from tests.browser.sheets import SheetPage, infusion_sheet
from tests.world import World

STATED = {27: ("Rate", "28.9", "mL/h"), 28: ("VTBI", "220", "mL")}
TIMED = {4, 12, 24}  # two touches: the stopwatch starts and stops


@pytest.fixture
def sheet(world: World) -> Sheet:
    return infusion_sheet(world)


@pytest.fixture
def opened(page_as: Any, sheet: Sheet) -> SheetPage:
    return SheetPage(page_as("evaluator"), sheet).open()


@pytest.fixture
def running(opened: SheetPage) -> SheetPage:
    return opened.start()


def test_one_touch_is_performed_now_and_reaches_the_server_once(running: SheetPage) -> None:
    running.touch(1)
    running.state(1, "performed")
    running.touch(5)  # in any order
    running.all_arrived()
    marks = [event.payload["step"] for event in running.stored() if event.kind == "marked"]
    assert marks == [running.ids[1], running.ids[5]]
    kept = {record["id"] for record in running.kept_events()}
    assert kept == {str(event.id) for event in running.stored()}
    assert [event.kind for event in running.stored()][:2] == ["identity_confirmed", "started"]


def test_the_clock_does_not_start_before_somebody_looked_who_it_is(opened: SheetPage) -> None:
    opened.page.get_by_role("button", name="Start the clock").click(force=True)
    expect(opened.page.get_by_text("Before the start")).to_be_visible()
    assert opened.kept_events() == []


def test_the_corner_gives_the_other_marks_over_the_next_row_and_moves_nothing(running: SheetPage) -> None:
    before = [running.row(n).bounding_box() for n in range(1, 6)]
    running.row(1).locator(".ear").click()
    strip = running.page.locator(".drawer").bounding_box()
    assert strip["y"] >= before[0]["y"] + before[0]["height"] - 3
    assert [running.row(n).bounding_box() for n in range(1, 6)] == before
    running.page.locator(".drawer").get_by_text("not performed").click()
    running.state(1, "not performed")
    assert [running.row(n).bounding_box() for n in range(1, 6)] == before


def test_touching_a_settled_row_opens_its_strip_and_stamps_nothing(running: SheetPage) -> None:
    running.touch(1)
    running.touch(1)
    expect(running.page.locator(".drawer")).to_be_visible()
    running.all_arrived()
    assert [event.kind for event in running.stored()].count("marked") == 1
    running.page.keyboard.press("Escape")
    expect(running.page.locator(".drawer")).to_have_count(0)
    expect(running.row(1).locator(".ear")).to_be_focused()


def test_undo_and_redo_take_back_and_bring_again_and_nothing_leaves_the_log(running: SheetPage) -> None:
    running.touch(1)
    running.page.locator(".und").click()
    expect(running.row(1)).to_have_class(re.compile("open"))
    running.page.locator(".redo").click()
    running.state(1, "performed")
    running.all_arrived()
    assert [event.kind for event in running.stored()][2:] == ["marked", "retracted", "retracted"]


def test_a_breach_is_stamped_at_the_touch_and_told_later(running: SheetPage) -> None:
    running.touch(1)
    running.page.locator(".brch").click()
    expect(running.page.get_by_role("dialog")).to_contain_text("Breach, 0:0")
    running.touch(2)  # the list stays in use: eyes on the student
    running.state(2, "performed")
    running.page.get_by_role("button", name="noticed, put right").click()
    running.all_arrived()
    stamp, detail = [event for event in running.stored() if event.kind == "breach"]
    assert detail.payload["of"] == str(stamp.id)
    assert (detail.payload["noticed"], detail.payload["corrected"]) == (True, True)
    second = next(event for event in running.stored() if event.payload.get("step") == running.ids[2])
    assert stamp.at_ms <= second.at_ms <= detail.at_ms


def test_a_prompt_carries_the_second_of_the_touch_and_its_kind(running: SheetPage) -> None:
    running.page.locator(".prm").click()
    running.page.get_by_role("button", name="general").click()
    expect(running.page.locator(".prm")).to_contain_text("1 given")
    running.all_arrived()
    assert [e.payload["kind"] for e in running.stored() if e.kind == "prompted"] == ["general"]


def test_several_steps_are_caught_up_at_once_and_say_so(running: SheetPage) -> None:
    running.page.get_by_role("button", name="catch up section A").click()
    running.page.get_by_role("button", name="all of them").click()
    running.page.get_by_role("button", name=re.compile("Mark 7 steps performed")).click()
    running.state(1, "caught up")
    running.all_arrived()
    marks = [event for event in running.stored() if event.kind == "marked"]
    assert len(marks) == 7
    assert all(event.payload["caught_up"] for event in marks)


def test_a_pause_needs_a_reason_and_does_not_count(page_as: Any, sheet: Sheet) -> None:
    page = page_as("evaluator")
    page.clock.install()
    sheet_page = SheetPage(page, sheet).open().start()
    page.clock.run_for(10_000)
    page.locator(".clock").click()
    page.get_by_role("button", name="pause: fire alarm").click()
    page.clock.run_for(55_000)
    expect(page.locator(".clock")).to_contain_text("paused: fire alarm")
    page.locator(".clock").click()
    page.clock.run_for(5_000)
    expect(page.locator(".clock b")).to_have_text(re.compile("^0:1[4-7]$"))
    sheet_page.touch(1)
    expect(sheet_page.row(1).locator(".tm")).to_have_text(re.compile("^0:1[4-7]$"))


def test_the_limit_changes_colour_says_so_and_locks_nothing(page_as: Any, sheet: Sheet) -> None:
    page = page_as("evaluator")
    page.clock.install()
    sheet_page = SheetPage(page, sheet).open().start()
    page.clock.run_for(25 * 60_000 + 2_000)
    expect(page.locator(".clock")).to_have_class(re.compile("late"))
    expect(page.locator(".clock")).to_contain_text("limit 25:00 reached")
    expect(page.locator("#say")).to_have_text(re.compile("time limit"))
    sheet_page.touch(3)
    sheet_page.state(3, "performed")


def test_a_stated_value_is_recorded_as_heard_and_stays_covered(running: SheetPage) -> None:
    page = running.page
    page.locator(".val").click()
    for digit in "28.9":
        page.locator(".pad").get_by_text(digit, exact=True).click()
    expect(page.locator(".units [aria-pressed=true]")).to_have_count(0)  # no unit is picked for anybody
    page.get_by_role("button", name="Now the unit").click(force=True)
    assert not any(record["event"]["kind"] == "stated" for record in running.kept_events())
    page.locator(".units").get_by_role("button", name="no unit said").click()
    page.get_by_role("button", name="Record as said").click()
    running.state(27, "said, covered")
    running.all_arrived()
    said = next(event for event in running.stored() if event.kind == "stated")
    assert said.payload == {"check": "rate", "number": "28.9", "unit": None}
    verdict = next(event for event in running.stored() if event.kind == "verified")
    assert verdict.payload["verdict"]["code"] == "wrong"
    # The key is in storage and memory only: neither the expected number nor a slip's words are on the page.
    page.locator(".val").click()
    page.locator(".sv-tabs").get_by_role("button", name="Rate").click()
    html = page.content()
    assert "13.1" not in html
    assert "Pounds" not in html
    expect(page.get_by_role("button", name="Uncover")).to_have_count(0)


def test_the_value_can_be_uncovered_once_self_correction_is_closed(running: SheetPage) -> None:
    running.say("Rate", "28.9", "mL/h")
    running.touch(31)  # the step that closes self-correction
    page = running.page
    page.locator(".val").click()
    page.locator(".sv-tabs").get_by_role("button", name="Rate").click()
    page.get_by_role("button", name="Uncover").click()
    expect(page.locator(".verdict")).to_contain_text("Wrong")
    expect(page.locator(".unfold")).to_contain_text("13.1")
    expect(page.locator(".slip h3")).to_have_text("Pounds taken as kilograms")
    expect(page.locator(".wk .here td").nth(1)).to_have_text("70 kg")
    page.get_by_role("button", name="Back to the list").click()
    running.all_arrived()
    assert [event.kind for event in running.stored()].count("revealed") == 1


def test_without_network_marking_goes_on_and_everything_arrives_after(running: SheetPage, page_as: Any) -> None:
    page_as.expect("ERR_INTERNET_DISCONNECTED")
    page = running.page
    running.all_arrived()
    page.context.set_offline(True)
    for number in (1, 2, 3):
        running.touch(number)
    expect(page.locator(".kept")).to_contain_text("3 of 5 still to reach the server")
    expect(page.locator(".kept")).to_contain_text("All kept on this tablet")
    page.context.set_offline(False)
    running.all_arrived()
    assert {str(event.id) for event in running.stored()} >= {record["id"] for record in running.kept_events()}


def test_a_reload_keeps_marks_and_bridges_the_clock(running: SheetPage) -> None:
    running.touch(1)
    running.page.reload()
    expect(running.page.locator(".sc")).to_be_visible()
    running.state(1, "performed")
    running.touch(2)
    running.all_arrived()
    kinds = [event.kind for event in running.stored()]
    assert kinds[2:] == ["marked", "clock_bridged", "marked"]
    assert sorted(event.seq for event in running.stored()) == [1, 2, 3, 4, 5]


def test_a_lost_answer_doubles_nothing(running: SheetPage, page_as: Any) -> None:
    page_as.expect("ERR_FAILED")
    running.all_arrived()
    cut = [True]

    def lose(route: Route) -> None:
        route.fetch()  # the server commits …
        if cut.pop() if cut else False:
            route.abort()  # … and the answer is lost
        else:
            route.fallback()

    running.page.route("**/events/", lose)
    running.touch(1)
    running.all_arrived()
    assert [event.kind for event in running.stored()] == ["identity_confirmed", "started", "marked"]


def test_an_expired_session_keeps_everything_and_says_what_to_do(running: SheetPage, page_as: Any) -> None:
    page_as.expect("401")
    running.all_arrived()
    running.page.context.clear_cookies(name="sessionid")
    running.touch(1)
    bar = running.page.locator(".trouble")
    expect(bar).to_contain_text("Sign in again in another tab")
    running.touch(2)
    running.state(2, "performed")
    page_as.sign_in(running.page.context, "evaluator")
    bar.get_by_role("button").click()
    running.all_arrived()
    expect(bar).to_be_hidden()
    assert [event.kind for event in running.stored()].count("marked") == 2


def test_a_lost_token_is_fetched_again_without_a_word(running: SheetPage, page_as: Any) -> None:
    page_as.expect("403")
    running.all_arrived()
    running.page.context.clear_cookies(name="csrftoken")
    running.touch(1)
    running.all_arrived()
    expect(running.page.locator(".trouble")).to_be_hidden()


def test_two_tabs_share_counts_and_marks(running: SheetPage, page_as: Any) -> None:
    other = SheetPage(running.page.context.new_page(), running.sheet)
    page_as.watch(other.page)
    other.open()
    other.touch(2)
    running.touch(1)
    running.state(2, "performed")
    other.state(1, "performed")
    running.all_arrived()
    other.all_arrived()
    counts = [event.seq for event in running.stored()]
    assert len(counts) == len(set(counts))


def mark_all(page: SheetPage, *, missed: dict[int, str], without: Collection[int] = ()) -> None:
    """Every step in its order, as seen; those of `missed` with another mark, those of `without` not at all."""
    for number in (one for one in page.ids if one not in without):
        if number in missed:
            page.mark(number, missed[number])
        elif number in STATED:
            page.say(*STATED[number])
        else:
            page.touch(number)
            if number in TIMED:
                page.touch(number)


def test_from_finish_to_the_seal(running: SheetPage, look: Any) -> None:
    page = running.page
    mark_all(running, missed={6: "not performed", 16: "not observed"})
    running.finish()
    expect(page.get_by_role("heading", name="Nothing to settle")).to_be_visible()
    see = page.get_by_role("button", name="See the outcome")
    expect(see).to_have_attribute("aria-disabled", "true")
    page.locator(".rate").get_by_role("button", name="2 needs help").click()
    page.get_by_label("Comment").fill("Calm with the person.")
    see.click()
    expect(page.locator(".outcome h2")).to_have_text("Unsatisfactory")
    expect(page.locator(".notyet")).to_contain_text("preview, not sealed")
    expect(page.locator(".reasons")).to_contain_text("Rate stated 28.9 mL/h, expected 13.1 mL/h")
    expect(page.locator(".reasons li")).to_have_count(len(decisive(running.sheet)))
    look(page, "outcome")
    sign = page.get_by_role("button", name="Sign the sheet")
    sign.click()
    expect(page.get_by_role("alert").filter(has_text="Say first")).to_be_visible()
    page.get_by_role("button", name="shown, with a statement").click()
    page.get_by_label("Statement").fill("I took pounds for kilograms.")
    page.get_by_label("Your password, again").fill("evaluator-password-of-tests")
    sign.click()
    expect(page.locator(".outcome h2")).to_have_text("Signed and sealed")
    running.sheet.refresh_from_db()
    assert running.sheet.statement == "I took pounds for kilograms."
    assert running.sheet.attempt.outcome == "unsatisfactory"
    assert running.kept_events() == []  # names and figures have left the tablet


def decisive(sheet: Sheet) -> list[dict[str, Any]]:
    return [reason for reason in preview_of(sheet)["reasons"] if reason["decides"]]


def test_a_wrong_password_signs_nothing(running: SheetPage, page_as: Any) -> None:
    page_as.expect("403")
    page = running.page
    mark_all(running, missed={})
    running.finish()
    page.locator(".rate").get_by_role("button", name="3 steady").click()
    page.get_by_role("button", name="See the outcome").click()
    page.get_by_role("button", name="refuses to see it").click()
    page.get_by_label("Your password, again").fill("not the password")
    page.get_by_role("button", name="Sign the sheet").click()
    expect(page.get_by_role("alert").filter(has_text="That is not your password")).to_be_visible()
    running.sheet.refresh_from_db()
    assert running.sheet.signed_at is None


def test_a_change_after_the_outcome_needs_a_reason(running: SheetPage) -> None:
    page = running.page
    mark_all(running, missed={6: "not performed"})
    running.finish()
    page.locator(".rate").get_by_role("button", name="3 steady").click()
    page.get_by_role("button", name="See the outcome").click()
    page.get_by_role("button", name="Back to the list").click()
    running.mark(6, "self-corrected")
    page.get_by_label("Why is it changed? The record shows the reason.").fill("I had overlooked it.")
    page.get_by_role("button", name="Change it").click()
    running.state(6, "self-corrected")
    running.all_arrived()
    change = running.stored()[-1]
    assert change.payload["after_outcome"] is True
    assert change.payload["reason"] == "I had overlooked it."


def test_open_steps_are_asked_for_at_finish(running: SheetPage) -> None:
    page = running.page
    mark_all(running, missed={})
    page.locator(".und").click()  # step 36 is open again
    running.finish()
    expect(page.get_by_role("heading", name="1 thing to settle")).to_be_visible()
    page.locator(".settle").get_by_role("button", name="performed, caught up").click()
    page.locator(".rate").get_by_role("button", name="4 sure").click()
    expect(page.get_by_role("button", name="See the outcome")).to_have_attribute("aria-disabled", "false")


def test_in_time_and_order_are_asked_only_where_a_caught_up_mark_leaves_them_open(page_as: Any, world: World) -> None:
    sheet = infusion_sheet(world, section_limit="fail")
    running = SheetPage(page_as("evaluator"), sheet).open().start()
    page = running.page
    page.get_by_role("button", name="catch up section D").click()
    page.get_by_role("button", name="all of them").click()
    page.get_by_role("button", name=re.compile("Mark 9 steps performed")).click()
    mark_all(running, missed={}, without=range(18, 27))
    running.finish()
    asked = page.locator(".settle").filter(has_text="In time?")
    expect(asked).to_have_count(9)
    for number in range(9):
        asked.nth(number).get_by_role("button", name="yes").click()
    pairs = page.locator(".settle").filter(has_text="Was step")
    for number in range(pairs.count()):
        pairs.nth(number).get_by_role("button", name="kept", exact=True).click()  # without a reason: nothing happens
        expect(pairs.nth(number).get_by_role("textbox")).to_be_focused()
        page.keyboard.type("I saw it from the door.")
        pairs.nth(number).get_by_role("button", name="kept", exact=True).click()
    page.locator(".rate").get_by_role("button", name="4 sure").click()
    expect(page.get_by_role("button", name="See the outcome")).to_have_attribute("aria-disabled", "false")
    page.get_by_role("button", name="Back to the list").click()
    running.all_arrived()
    assert preview_of(sheet)["settle"] == []
    assert [e.payload["in_time"] for e in running.stored() if e.payload.get("in_time")] == ["yes"] * 9


def test_the_whole_list_by_keyboard(running: SheetPage) -> None:
    page = running.page
    running.row(1).locator(".go").focus()
    page.keyboard.press("Enter")
    running.state(1, "performed")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowRight")
    expect(running.row(2).locator(".ear")).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")  # the strip's first mark has the focus
    running.state(2, "self-corrected")
    expect(running.row(2).locator(".ear")).to_be_focused()


def test_a_stated_value_and_the_finish_by_keyboard_keep_their_place(running: SheetPage) -> None:
    page = running.page
    page.locator(".val").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Marit")).to_be_focused()
    page.keyboard.type("28.9")
    expect(page.locator(".num")).to_contain_text("28.9")
    unit = page.locator(".units").get_by_role("button", name="mL/h", exact=True)
    unit.focus()
    page.keyboard.press("Enter")
    expect(unit).to_be_focused()
    expect(unit).to_have_attribute("aria-pressed", "true")
    page.get_by_role("button", name="Record as said").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".val")).to_be_focused()
    page.locator(".endrow").focus()
    page.keyboard.press("Enter")
    steady = page.locator(".rate").get_by_role("button", name="3 steady")
    steady.focus()
    page.keyboard.press("Enter")
    expect(steady).to_have_attribute("aria-pressed", "true")
    expect(steady).to_be_focused()


def faults(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{item['id']}: {node['html'][:120]}" for item in found for node in item["nodes"]]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", ["phone", "tablet", "desk"])
def test_every_part_is_accessible(page_as: Any, sheet: Sheet, look: Any, size: str, scheme: str) -> None:
    page = page_as("evaluator", size=size, color_scheme=scheme)
    sheet_page = SheetPage(page, sheet).open()
    problems = faults(page)
    sheet_page.start()
    sheet_page.touch(1)
    sheet_page.mark(2, "not performed")
    sheet_page.row(3).locator(".ear").click()
    look(page, f"list-{size}-{scheme}")
    problems += faults(page)
    page.keyboard.press("Escape")
    page.locator(".brch").click()
    problems += faults(page)
    page.get_by_role("button", name="tell it later").click()
    page.locator(".val").click()
    look(page, f"stated-{size}-{scheme}")
    problems += faults(page)
    page.get_by_role("button", name="Back to the list").click()
    (page.locator(".fin") if size == "desk" else page.locator(".endrow")).click()
    look(page, f"settle-{size}-{scheme}")
    problems += faults(page)
    assert problems == []


@pytest.mark.parametrize("width", [320, 360, 768, 1280])
def test_targets_are_48_px_and_nothing_runs_over_the_edge(page_as: Any, sheet: Sheet, width: int) -> None:
    page = page_as("evaluator", viewport={"width": width, "height": 740})
    sheet_page = SheetPage(page, sheet).open().start()
    sheet_page.row(3).locator(".ear").click()
    small = page.evaluate(
        """() => [...document.querySelectorAll("#page button")].filter(b => {
          const box = b.getBoundingClientRect();
          return box.width && getComputedStyle(b).pointerEvents !== "none" && (box.width < 48 || box.height < 48);
        }).map(b => `${b.className} ${b.textContent} ${b.getBoundingClientRect().width}`)"""
    )
    assert small == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
