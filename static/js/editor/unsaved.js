/** Whether a form that keeps what is typed (data-keep) differs from what the server gave. */
export function unsaved() {
  const fields = document.querySelectorAll("form[data-keep] :is(input,textarea,select):not([type=hidden])");
  return [...fields].some(field => {
    if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
    if (field.tagName !== "SELECT") return field.value !== field.defaultValue;
    const given = [...field.options].some(option => option.defaultSelected);
    return given ? [...field.options].some(o => o.selected !== o.defaultSelected) : field.selectedIndex > 0;
  });
}
