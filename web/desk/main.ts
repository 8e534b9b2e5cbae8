import './look/desk.css';
document.getElementById('desk')!.textContent = 'Stillhand';
