"""Writing a procedure in a real browser: by keyboard from paste to published, by dragging, and with a colleague."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import Page, expect

from checkoffs.cases.models import CaseTemplate
from checkoffs.procedures import actions, editing
from checkoffs.procedures.content import numbered_steps
from checkoffs.procedures.models import Procedure, ProcedureDraft
from tests.cases.make import pump_template
from tests.procedures.make import LIST, drafted, ids, published, pulse
from tests.world import World


def texts() -> list[str]:
    return [found.step["text"] for found in numbered_steps(ProcedureDraft.objects.get().content)]


def tab_to(page: Page, selector: str, key: str = "Tab") -> None:
    """Press Tab until the element has the focus, as a person without a mouse does."""
    for _ in range(250):
        if page.evaluate("s => document.activeElement.matches(s)", selector):
            return
        page.keyboard.press(key)
    raise AssertionError(f"Tab never reaches {selector}")


def test_by_keyboard_alone_from_paste_to_published(page_as: Any, world: World) -> None:
    page = page_as("instructor", size="desk")
    page.goto(reverse("procedures:new"))
    tab_to(page, "[name=text]")
    page.keyboard.insert_text(LIST)
    tab_to(page, "button[value=read]")
    page.keyboard.press("Enter")

    # the preview: "light pressure" becomes a step with Alt and the left arrow
    expect(page.locator("h1")).to_have_text("What was understood")
    expect(page.locator(".rows > li")).to_have_count(9)
    tab_to(page, ".rows > li:nth-child(7) textarea")
    page.keyboard.press("Alt+ArrowLeft")
    expect(page.locator(".rows > li").nth(6)).to_have_attribute("data-kind", "step")
    expect(page.locator(".rows > li").nth(8).locator(".n")).to_have_text("6")
    tab_to(page, "button[value=save]")
    page.keyboard.press("Enter")

    # the list: the new step goes down one place and keeps the focus
    expect(page.locator(".ed-step")).to_have_count(6)
    tab_to(page, ".ed-section:nth-of-type(2) .ed-step:nth-child(2) a.t")
    page.keyboard.press("Alt+ArrowDown")
    expect(page.locator("main [role=status]")).to_contain_text("Now step 5, in section B.")
    page.keyboard.press("Alt+ArrowDown")
    expect(page.locator("main [role=status]")).to_contain_text("Now step 6, in section B.")
    assert texts()[4:] == ["Write the rate down", "light pressure"]

    # the critical step gets its reason
    tab_to(page, ".ed-section:first-of-type .ed-step:nth-child(2) a.t", "Shift+Tab")
    page.keyboard.press("Enter")
    expect(page.locator("#panel h2")).to_have_text("Step 2")
    tab_to(page, "#step_critical_reason")
    page.keyboard.insert_text("A count of the wrong person treats the wrong person.")
    tab_to(page, "#step-form button:not([name])")
    page.keyboard.press("Enter")
    expect(page.locator("main [role=status]")).to_contain_text("Step 2 is saved.")
    expect(page.locator("#checks h2")).to_have_text("Nothing stands against publishing")

    tab_to(page, "#checks a.btn")
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Publish version 1")
    tab_to(page, "form .btn-primary")
    page.keyboard.press("Enter")
    expect(page.locator("main [role=status]")).to_contain_text("Version 1 is published.")
    assert Procedure.objects.get().versions.get().content["sections"][1]["steps"][-1]["text"] == "light pressure"


def test_a_step_is_dragged_by_its_number_into_another_section(page_as: Any, world: World) -> None:
    procedure = drafted(world)
    page = page_as("instructor", size="desk")
    page.goto(reverse("procedures:edit", kwargs={"procedure": procedure.pk}))
    grip = page.locator(".ed-step .num-place").nth(4).bounding_box()
    goal = page.locator(".ed-step").nth(0).bounding_box()
    page.mouse.move(grip["x"] + 10, grip["y"] + 10)
    page.mouse.down()
    page.mouse.move(goal["x"] + 60, goal["y"] + 30, steps=5)
    page.mouse.move(goal["x"] + 60, goal["y"] + 4, steps=5)
    page.mouse.up()
    expect(page.locator("main [role=status]")).to_contain_text("Now step 1, in section A.")
    assert texts()[0] == "Write the rate down"


def test_typed_words_stay_while_the_list_changes_and_when_a_colleague_saved(page_as: Any, world: World) -> None:
    procedure = drafted(world)
    second = ids(pulse())[1]
    page = page_as("instructor", size="desk")
    page.goto(reverse("procedures:edit", kwargs={"procedure": procedure.pk}) + f"?step={second}")
    page.locator("#step_cue").fill("Reads both aloud")
    page.locator(f"#down-{ids(pulse())[2]}").click()
    expect(page.locator("main [role=status]")).to_contain_text("Now step 4")
    expect(page.locator("#step_cue")).to_have_value("Reads both aloud")

    held = ProcedureDraft.objects.get()
    theirs = editing.change_step(held.content, second, why="Two people share a room")
    actions.save_draft(by=world.second_instructor, procedure=procedure, content=theirs, revision=held.revision)
    page_as.expect("409")
    page.locator("#step-form button:not([name])").click()
    expect(page.locator("#refusals")).to_contain_text(world.second_instructor.full_name)
    expect(page.locator("#step_cue")).to_have_value("Reads both aloud")
    page.locator("#step_why").fill("Two people share a room")
    page.locator("#step-form button:not([name])").click()
    expect(page.locator("main [role=status]")).to_contain_text("Step 2 is saved.")
    expect(page.locator("#refusals")).to_be_empty()


def test_the_draw_follows_what_is_typed(page_as: Any, world: World) -> None:
    template = pump_template(world, drafted(world))
    page = page_as("instructor", size="desk")
    page.goto(reverse("cases:edit", kwargs={"template": template.pk}))
    page.locator("#id_f_dose").fill("5 mcg/kg/min")
    page.locator("#id_f_weight").fill("70 kg")
    expect(page.locator("#draw .value").first).to_have_text("13.1 mL/h")
    page.locator("#id_f_weight").fill("70 furlongs")
    expect(page.locator("#draw")).to_contain_text("Cannot be drawn.")
    page.locator("#id_f_weight").fill("70 kg")
    page.get_by_role("button", name="One more line").click()
    page.locator("#id_checks-3-label").fill("Dose each hour")
    page.locator("#id_checks-3-id").fill("hourly")
    expect(page.locator("#draw h3")).to_have_count(3)
    page.get_by_role("button", name="Save the case").click()
    expect(page.locator("main [role=status]")).to_contain_text("The case is saved.")
    assert [check["id"] for check in CaseTemplate.objects.get().content["checks"]] == ["rate", "vtbi", "hourly"]


def _pages(world: World) -> dict[str, str]:
    written, done = drafted(world), published(world)
    actions.save_draft(
        by=world.second_instructor,
        procedure=written,
        content=editing.change_step(pulse(), ids(pulse())[1], critical_reason="", cue="Both wristband and words"),
        revision=1,
    )
    template = pump_template(world, written)
    keys = {"procedure": written.pk}
    return {
        "list": reverse("procedures:list"),
        "new": reverse("procedures:new"),
        "procedure": reverse("procedures:procedure", kwargs=keys),
        "version": reverse("procedures:version", kwargs={"procedure": done.pk, "number": 1}),
        "edit": reverse("procedures:edit", kwargs=keys),
        "edit-step": reverse("procedures:edit", kwargs=keys) + f"?step={ids(pulse())[1]}",
        "edit-section": reverse("procedures:edit", kwargs=keys) + f"?section={pulse()['sections'][0]['id']}",
        "rule": reverse("procedures:rule", kwargs=keys),
        "publish": reverse("procedures:publish", kwargs=keys),
        "retire": reverse("procedures:retire", kwargs=keys),
        "case": reverse("cases:edit", kwargs={"template": template.pk}),
        "case-new": reverse("cases:new", kwargs=keys),
        "case-retire": reverse("cases:retire", kwargs={"template": template.pk}),
    }


def _sound(page: Page, name: str) -> None:
    page.evaluate("document.querySelectorAll('main details').forEach(node => { node.open = true; })")
    found = Axe().run(
        page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
    )
    assert [(name, v["id"], [n["html"][:160] for n in v["nodes"]][:3]) for v in found.response["violations"]] == []
    over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert over <= 0, f"{name} is {over} px too wide"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", ["desk", "tablet", "phone"])
def test_every_page_is_accessible_and_fits(page_as: Any, world: World, look: Any, size: str, scheme: str) -> None:
    page = page_as("instructor", size=size, color_scheme=scheme, bypass_csp=True)
    faults = []
    for name, address in _pages(world).items():
        page.goto(address)
        look(page, f"authoring-{name}-{size}-{scheme}")
        try:
            _sound(page, name)
        except AssertionError as error:
            faults.append(str(error))
    page.goto(reverse("procedures:new"))
    page.locator("[name=text]").fill(LIST + "\n\nSupplies:\n- a watch with a second hand\n")
    page.locator("button[value=read]").click()
    look(page, f"authoring-preview-{size}-{scheme}")
    _sound(page, "preview")
    assert faults == []
